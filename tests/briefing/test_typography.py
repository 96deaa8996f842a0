"""The paper itself, measured on the PDF: sizes, fonts, contrast, leading, edges, gaps. All gates hold at once."""

import io
import itertools
import re

import pikepdf
import pytest

from tests.briefing import printed

CAP_HEIGHT = 0.668  # of Atkinson Hyperlegible, as a share of its size
MM = 72 / 25.4
EVERY = [(kind, paper) for kind in printed.KINDS for paper in printed.PAPERS]


@pytest.fixture(params=EVERY, ids="-".join)
def made(request):
    return request.param


def chars(made):
    """What is printed; sizes rounded to the tenth, since a file's matrices lose the last digits."""
    found = [char for page in printed.pages(*made) for char in page["all"] if char["text"].strip()]
    return [char | {"size": round(char["size"], 1)} for char in found]


def test_nothing_is_smaller_than_nine_points(made):
    """No character is set smaller than 9 pt."""
    assert min(c["size"] for c in chars(made)) >= 9


def test_most_of_the_text_is_body_size(made):
    """What is not a note, a caution or a footer is 11 pt or more: at least half of all characters."""
    sizes = [c["size"] for c in chars(made)]
    assert sum(size >= 11 for size in sizes) >= len(sizes) / 2


def test_critical_values_are_large(made):
    """Decision, time until it holds, recall signal and clock stand at 14 pt or more: capitals of 2.8 mm and up."""
    page = printed.pages(*made)[0]
    large = "".join(c["text"] for c in page["chars"] if round(c["size"], 1) >= 14)
    sheet = printed.sheet(*made)
    squeezed = large.replace(" ", "")
    say = printed.tongue(made[0]).say
    for words in (
        sheet.verdict.word,
        sheet.verdict.until,
        say("Recall:"),
        f"{say('Clock')}:{say('past 14:05').split()[0]}",
    ):
        assert words.replace(" ", "") in squeezed
    assert 14 * CAP_HEIGHT / MM >= 2.8
    measured = [row for block in sheet.front for row in block.rows if row.critical]
    assert all(row.value.replace(" ", "").removesuffix("…") in squeezed for row in measured)


def test_fonts_are_embedded_and_are_ours(made):
    """Every font is in the file, and is one of the committed ones: sans serif, with a 0 unlike an O."""
    with pikepdf.open(io.BytesIO(printed.pdf(*made))) as pdf:
        fonts = {}
        for obj in pdf.objects:
            if isinstance(obj, pikepdf.Dictionary) and obj.get("/Type") == "/FontDescriptor":
                fonts[str(obj.FontName).split("+")[-1]] = "/FontFile2" in obj or "/FontFile3" in obj
    assert fonts
    assert all(fonts.values())
    assert set(fonts) <= {"Sheet", "Sheet-Bold", "Sheet-Extended", "Sheet-Extended-Bold", "Sheet-Symbols"}


def test_black_on_white(made):
    """Text is black, and nothing dark lies under it: at least 15 to 1."""
    assert {_grey(c["non_stroking_color"]) for c in chars(made)} == {0.0}
    assert _contrast(0xDE / 255) >= 15  # the darkest ground of the decision map


def _grey(colour):
    colour = colour if isinstance(colour, tuple | list) else (colour or 0,)
    return max(float(part) for part in colour)


def _contrast(grey):
    light = ((grey + 0.055) / 1.055) ** 2.4
    return (light + 0.05) / 0.05


def test_no_italics_and_no_long_capitals(made):
    """One kind of emphasis, bold; no run of words in capitals."""
    assert not [c for c in chars(made) if "Italic" in c["fontname"] or "Oblique" in c["fontname"]]
    text = " ".join(page["text"] for page in printed.pages(*made))
    assert not re.search(r"\b[A-Z]{4,}(?: [A-Z]{4,})+\b", text.replace(printed.sheet(*made).head.code, ""))


def test_lines_stand_a_quarter_apart(made):
    """From line to line at least a quarter more than the size of the smaller text."""
    page = printed.pages(*made)[0]
    body = [c for c in page["chars"] if round(c["size"]) == 11]
    middle = page["size"][0] / 2
    for side in ([c for c in body if c["x1"] < middle], [c for c in body if c["x0"] > middle]):
        rows = sorted({round(c["bottom"], 1) for c in side})
        gaps = [below - above for above, below in itertools.pairwise(rows) if below - above > 2]
        assert min(gaps) >= 11 * 1.25 - 0.11


def test_nothing_leaves_the_paper(made):
    """Everything printed lies at least 6.3 mm inside the edges, where every office printer reaches."""
    wide, high = printed.SIZES_PT[made[1]]
    for page in printed.pages(*made):
        assert page["size"] == pytest.approx((wide, high), abs=0.5)
        assert min(c["x0"] for c in page["all"]) >= 6.3 * MM
        assert max(c["x1"] for c in page["all"]) <= wide - 6.3 * MM
        assert min(c["top"] for c in page["all"]) >= 6.3 * MM
        assert max(c["bottom"] for c in page["all"]) <= high - 4.2 * MM


def test_pages_are_counted_and_named(made):
    """Every page says which of how many it is, and of which sheet; the last line says that it is the last."""
    pages, sheet = printed.pages(*made), printed.sheet(*made)
    for number, page in enumerate(pages, 1):
        assert f"{sheet.labels['page']} {number} {sheet.labels['of']} {len(pages)}" in page["text"]
        assert f"{sheet.labels['code']} {sheet.head.code}" in page["text"]
    assert sheet.end in printed.flat(pages[-1]["text"])
    assert sum(sheet.end in printed.flat(page["text"]) for page in pages) == 1


def test_no_two_characters_overprint(made):
    """No line runs into the next column, page foot or block: no two characters share their middle."""
    for page in printed.pages(*made):
        spots = [
            (round((c["x0"] + c["x1"]) / 2), round((c["top"] + c["bottom"]) / 2))
            for c in page["chars"]
            if c["text"].strip()
        ]
        assert len(spots) - len(set(spots)) <= len(spots) * 0.002  # rounding puts a few neighbours together


def test_label_and_value_are_neighbours(made):
    """In every row the value begins at most 25 mm after its label ends, or on the next line."""
    page = printed.pages(*made)[0]
    words = page["words"]
    for label, value in itertools.pairwise(words):
        same_line = abs(label["bottom"] - value["bottom"]) < 3
        same_column = (label["x1"] < page["size"][0] / 2) == (value["x0"] < page["size"][0] / 2)
        if label["text"].endswith(":") and same_line and same_column:
            assert value["x0"] - label["x1"] <= 25 * MM
