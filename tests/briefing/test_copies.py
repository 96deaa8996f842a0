"""Grey, and photocopied twice: the code still opens the page, and every word keeps its shape.

No reader of printed text is installed, so legibility is not read by a machine here. What is measured: each
word of the copy still looks like the original, its strokes are there and its counters are not filled.
"""

import subprocess

import numpy as np
import pytest
import zxingcpp
from PIL import Image, ImageFilter

from tests.briefing import printed

DPI = 200
NOISE = 12


def pictured(kind, paper, folder):
    path = folder / "sheet.pdf"
    path.write_bytes(printed.pdf(kind, paper))
    base = folder / "page"
    subprocess.run(
        ["pdftoppm", "-r", str(DPI), "-f", "1", "-l", "1", "-gray", "-png", str(path), str(base)], check=True
    )
    return Image.open(next(folder.glob("page-*.png"))).convert("L")


def photocopied(image, seed):
    """One generation: optics blur, the paper is grainy, the drum makes black or white, all a little crooked."""
    soft = image.filter(ImageFilter.GaussianBlur(1.1)).rotate(0.15, fillcolor=255, resample=Image.Resampling.BICUBIC)
    grain = np.random.default_rng(seed).normal(0, NOISE, (image.height, image.width))
    return Image.fromarray(((np.asarray(soft, dtype=float) + grain) > 140).astype(np.uint8) * 255)


@pytest.fixture(params=printed.PAPERS)
def copies(request, tmp_path):
    original = pictured("usual", request.param, tmp_path)
    first = photocopied(original, 1)
    second = photocopied(first, 2).rotate(-0.3, fillcolor=255)  # laid straight again
    return request.param, original, second


def test_the_code_opens_the_page(copies):
    """The QR code of the original and of the second copy holds the sheet's address."""
    _, original, second = copies
    for image in (original, second):
        assert [found.text for found in zxingcpp.read_barcodes(image)] == ["https://opsrisk.example/sheet/0123456789/"]


def test_every_word_keeps_its_shape(copies):
    """Each word of the second copy correlates with the original, and none has bled or faded away."""
    paper, original, second = copies
    scale = DPI / 72
    before, after = (255 - np.asarray(image.convert("L"), dtype=float) for image in (original, second))
    alike, ink = [], []
    words = [word for word in printed.pages("usual", paper)[0]["words"] if len(word["text"]) > 1]
    for word in words:
        box = np.s_[
            int(word["top"] * scale) - 2 : int(word["bottom"] * scale) + 2,
            int(word["x0"] * scale) - 2 : int(word["x1"] * scale) + 2,
        ]
        old, new = before[box], after[box]
        alike.append(
            max(
                np.corrcoef(old.ravel(), np.roll(new, (dy, dx), (0, 1)).ravel())[0, 1]
                for dy in (-2, -1, 0, 1, 2)
                for dx in (-2, -1, 0, 1, 2)
            )
        )
        ink.append(new.sum() / old.sum())
    assert len(alike) > 150
    assert min(alike) > 0.6
    assert np.median(alike) > 0.8
    assert min(ink) > 0.5
    assert max(ink) < 1.8
