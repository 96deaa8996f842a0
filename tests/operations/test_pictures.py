"""What is not a photo and nothing else is refused in words, before it can do harm."""

import io
import struct
import time
import zipfile
import zlib

import pytest
from PIL import Image

from opsrisk.agencies.refusals import Refused
from opsrisk.operations.pictures import shown_copy
from tests.operations.photos import jpeg


def png(wide, high, rows=None):
    """A PNG that says it is so large; its rows are as few as given, packed small."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0)
    packed = zlib.compress(b"\0" * (wide + 1) * (rows if rows is not None else high), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


def zipped():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("x.html", "hidden")
    return out.getvalue()


def saved(kind, mode="RGB", **how):
    out = io.BytesIO()
    Image.new(mode, (50, 30)).save(out, kind, **how)
    return out.getvalue()


@pytest.mark.parametrize("data", [jpeg(), saved("PNG"), saved("PNG", "RGBA"), saved("PNG", "P"), saved("PNG", "I;16"), saved("PNG", "L"),
                                  saved("WEBP"), saved("JPEG", "CMYK"), jpeg(tail=b"\0" * 5000)])  # fmt: skip
def test_photos_of_every_usual_kind_are_shown(data):
    """JPEG, PNG and WebP, with or without colour and transparency; cameras also write behind the picture."""
    with Image.open(io.BytesIO(shown_copy(data))) as image:
        assert (image.format, image.mode) == ("JPEG", "RGB")


BAD = {
    "svg": (b'<svg xmlns="http://www.w3.org/2000/svg"><script>1</script></svg>', "a JPEG, PNG or WebP photo"),
    "gif": (saved("GIF"), "a JPEG, PNG or WebP photo"),
    "tiff": (saved("TIFF"), "a JPEG, PNG or WebP photo"),
    "empty": (b"", "a JPEG, PNG or WebP photo"),
    "web page": (b"<!doctype html>" + jpeg(), "a JPEG, PNG or WebP photo"),
    "riff that is no picture": (b"RIFF\x24\0\0\0WAVEfmt ", "a JPEG, PNG or WebP photo"),
    "script behind": (jpeg(tail=b"<ScRiPt>alert(1)</script>"), "a script"),
    "page behind": (jpeg(tail=b"<!DOCTYPE html>"), "a web page"),
    "program behind": (jpeg(tail=b"<?php system(1);"), "a program"),
    "archive behind": (jpeg(tail=zipped()), "an archive"),
    "pdf within": (jpeg()[:2] + b"\xff\xfe\x00\x0a%PDF-1.7" + jpeg()[2:], "a PDF"),
    "50k x 50k": (png(50_000, 50_000, rows=10), "at most 60 million pixels"),
    "one long line": (png(20_000, 2), "16000 a side"),
    "cut short": (jpeg(400, 400)[:900], "that is whole"),
    "not a png inside": (b"\x89PNG\r\n\x1a\n" + b"x" * 100, "that is whole"),
    "png cut short": (saved("PNG")[:-30], "that is whole"),
}


@pytest.mark.parametrize("name", BAD)
def test_anything_else_is_refused_in_words(name):
    """Bombs, files that are two things at once, drawings with scripts, broken files."""
    data, words = BAD[name]
    with pytest.raises(Refused, match=words):
        shown_copy(data)


def test_a_bomb_is_refused_before_it_is_unpacked():
    """Fifty thousand a side would be 2.5 GB in memory: seen in the header, refused in under a second."""
    bomb = png(50_000, 50_000, rows=4000)
    assert len(bomb) < 400_000
    began = time.perf_counter()
    with pytest.raises(Refused):
        shown_copy(bomb)
    assert time.perf_counter() - began < 1
