"""A sheet in Spanish: every word of it said, what a person wrote left alone, and nothing else than the English one says."""

import random
import re

import pytest

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.language import Language
from opsrisk.assessment.record import digest
from opsrisk.briefing.languages import catalogue
from opsrisk.briefing.sheet.compose import compose
from opsrisk.briefing.sheet.given import Given
from tests.briefing import printed, records
from tests.briefing.situations import drawn

STATE = "Received by the server 25 Nov 2026 14:10"


MISSED: set[str] = set()
SPEAKER = Language(catalogue("es"), tag="es", decimal=",", missed=MISSED.add)


def said(record, signatures, paper="letter"):
    """The sheet in Spanish; what its catalogue lacks is in MISSED after that."""
    MISSED.clear()
    given = Given(
        record, digest(record), list(signatures), None, "Tarrow County Dive Rescue", STATE, "https://x.example/"
    )
    return compose(given, cautions=CAUTIONS, paper=paper, language=SPEAKER)


@pytest.mark.parametrize("kind", (*printed.ENGLISH, printed.BRIEFED))
@pytest.mark.parametrize("paper", printed.PAPERS)
def test_every_word_of_the_usual_sheets_is_said(kind, paper):
    """Usual, crowded, calm and bare records, on both papers."""
    said(*printed.MAKE[kind](), paper)
    assert not MISSED


def test_every_word_of_random_sheets_is_said():
    """Eighty situations at random: stops, margins, steps, assumptions, all of it."""
    rng = random.Random(20261128)
    for _ in range(80):
        said(records.record(drawn(rng)), records.signatures())
        assert not MISSED


def test_it_says_the_same_rows_in_the_same_order():
    """Block by block of the back and the front as many rows as in English, whichever side of the paper they stand on."""
    english, spanish = printed.sheet("usual", "a4"), printed.sheet("usual, Spanish", "a4")
    rows = [
        {
            key: sum(len(block.rows) for block in (*sheet.front, *sheet.back) if block.key.split("-")[0] == key)
            for key in ("points", "readings", "steps", "abort", "people", "controls", "margins")
        }
        for sheet in (english, spanish)
    ]
    assert rows[0] == rows[1]
    assert (spanish.language, spanish.head.code) == ("es", english.head.code)


def test_what_a_person_wrote_is_left_alone():
    """Names, the brief and remarks stand as they were written, numbers with a point in them too; no mark is printed."""
    record = records.record()
    record["brief"] |= {"radio": "Channel 6.5", "remarks": "Hold at 0.5"}
    sheet = said(record, records.signatures())
    values = [
        text
        for block in (*sheet.front, *sheet.back)
        for row in block.rows
        for text in (row.value, row.note, row.label, *row.cells)
    ]
    assert {"Channel 6.5", "Hold at 0.5"} <= set(values)
    for person in record["situation"]["people"]:
        assert any(person["name"] in value for value in values)
    everything = repr(sheet)
    assert "\\u2068" not in everything and "\u2068" not in everything


def test_numbers_carry_the_agencys_sign_and_codes_do_not():
    """0.8 kn is 0,8 kn in every cell; version and digest stay."""
    sheet = printed.sheet("usual, Spanish", "letter")
    readings = next(block for block in sheet.back if block.key == "readings")
    assert re.search(r"\d,\d", " ".join(cell for row in readings.rows for cell in row.cells))
    assert not re.search(r"\d\.\d", " ".join(row.cells[1] for row in readings.rows))
    made = next(block for block in sheet.back if block.key == "made-with")
    assert any("1.0.0" in row.value for row in made.rows)
