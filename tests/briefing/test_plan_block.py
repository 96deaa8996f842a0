"""The plan on the sheet: from the record alone, on page one without a second page, drawn behind in print sizes."""

import io

import pdfplumber
import pytest

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.plan import plan_lines
from opsrisk.assessment.record import canonical, digest
from opsrisk.briefing.pdf import laid_out, pages_of_front, written
from opsrisk.briefing.sheet.compose import compose
from opsrisk.briefing.sheet.given import Given
from tests.assessment.planned import INPUTS, SITUATION
from tests.briefing import printed, records
from tests.operations.sending import planned


def sheet(record, paper="letter"):
    given = Given(record, digest(record), records.signatures(), None, "Tarrow County Dive Rescue", "Received", "x")
    return compose(given, cautions=CAUTIONS, paper=paper)


@pytest.fixture(scope="module")
def record():
    """An operation of which everything is known, with its plan as a tablet puts it into the record."""
    return records.record(SITUATION) | {"plan": planned(SITUATION, INPUTS)}


@pytest.fixture(scope="module")
def pages(record):
    made = laid_out(sheet(record), "letter")
    assert pages_of_front(made) == 1
    with pdfplumber.open(io.BytesIO(written(made, canonical(record)))) as found:
        return [(page.extract_text(x_tolerance=1.5), page.chars) for page in found.pages]


def test_every_line_of_the_plan_is_on_the_sheet(record, pages):
    """The first on page one, all of them somewhere, in the words of the record."""
    lines = [line.replace(";", ",") for line in plan_lines(record["plan"]["answer"])]
    everything = " ".join(printed.flat(text) for text, _ in pages)
    assert lines[0] in printed.flat(pages[0][0])
    assert "Turn at" in printed.flat(pages[0][0])
    for line in lines:
        assert line in everything, line


def test_window_and_tether_are_drawn_behind_page_one(record, pages):
    """With the recall times beside; every word of the drawings is black and at least 9 pt."""
    behind = " ".join(text for text, _ in pages[1:])
    assert "Current window" in behind
    assert "Tether, from the side" in behind
    assert "platform" in behind
    assert "recall 09:42" in printed.flat(behind)
    for _, chars in pages:
        assert min(round(char["size"], 1) for char in chars if char["text"].strip()) >= 9
        assert {max(char["non_stroking_color"] or (0,)) for char in chars if char["text"].strip()} == {0.0}
    drawn = [block for block in sheet(record).back if block.kind == "drawing"]
    assert len(drawn) == 2
    assert all("<svg" in block.picture and "paint-order" not in block.picture for block in drawn)


def test_a_whole_plan_takes_four_pages(pages):
    """And no page but the last holds next to nothing."""
    assert len(pages) == 4
    assert all(len(text) > 900 for text, _ in pages)


def test_the_sheet_is_made_from_what_was_signed(record):
    """Not from what the same inputs would give today."""
    answer = record["plan"]["answer"]
    numbers = [answer["numbers"][0] | {"headline": "Under 9.9 kn, as signed"}, *answer["numbers"][1:]]
    other = record | {"plan": record["plan"] | {"answer": answer | {"numbers": numbers}}}
    rows = [row.value for block in sheet(other).front if block.key == "plan" for row in block.rows]
    assert rows[0] == "Under 9.9 kn, as signed"


def test_a_record_without_a_plan_has_no_plan_on_its_sheet(record):
    """Records of before, and of devices that could not work one out."""
    bare = {name: part for name, part in record.items() if name != "plan"}
    assert not [block for block in (*sheet(bare).front, *sheet(bare).back) if block.key.startswith("plan")]
