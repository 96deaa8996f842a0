"""The spreadsheet file holds the rows of the CSV, nothing that runs, and says what it could not hold."""

import io
import re
import zipfile
from datetime import datetime
from decimal import Decimal

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.operations.models import Assessment, Operation
from opsrisk.review import spreadsheet
from opsrisk.review.export import COLUMNS, RUNS_AS_FORMULA
from opsrisk.review.spreadsheet import MOST_IN_A_CELL
from tests.review.test_export import table

LONG = "Mud. " * 8000  # 40,000 letters


def book(client, **asked):
    answer = client.get(reverse("review_spreadsheet"), asked)
    assert answer.status_code == 200
    assert answer["Content-Disposition"] == 'attachment; filename="operations.xlsx"'
    data = b"".join(answer.streaming_content)
    return data, load_workbook(io.BytesIO(data))


def listed(found):
    """Rows of the first sheet by column name, as cells."""
    head, *rows = found.worksheets[0].iter_rows()
    return [dict(zip([cell.value for cell in head], row, strict=True)) for row in rows]


def as_shown(cell):
    """The text as the format means it (_x0041_ stands for a letter by its number), which the reader leaves undone."""
    return re.sub("_x([0-9A-F]{4})_", lambda found: chr(int(found[1], 16)), str(cell.value or ""))


def as_csv(cell):
    """What the CSV says of the same cell."""
    text = as_shown(cell)
    return f"'{text}" if cell.data_type == "s" and text.lstrip(" ").startswith(RUNS_AS_FORMULA) else text


@pytest.fixture
def chief(county, as_person):
    return as_person(county.chief)


@pytest.mark.parametrize("asked", [{}, {"kind": "inspection", "sort": "score"}, {"overrides": "on"}], ids=str)
def test_cell_by_cell_the_rows_of_the_csv(chief, county, asked):
    """The same rows in the same order under any filter, with titles that would run in a spreadsheet."""
    for number, title in enumerate(
        ("=1+1", "+cmd|'/C calc'!A0", "-2", "@SUM(A1)", "http://x.example/", " =1+1", "12", "_x0041_")
    ):
        operation = county.agency.operations.exclude(assessments=None).order_by("called_at")[number]
        Operation.objects.filter(pk=operation.pk).update(title=title)
    wanted = table(chief, **asked)
    rows = listed(book(chief, **asked)[1])
    assert len(rows) == len(wanted) > 0
    numbers = 0
    for row, line in zip(rows, wanted, strict=True):
        assert list(row) == list(line)
        for name, cell in row.items():
            assert cell.data_type != "f" and cell.hyperlink is None
            if cell.data_type == "n" and cell.value is not None:
                numbers += 1
                assert Decimal(str(cell.value)) == Decimal(line[name])
            else:
                assert as_csv(cell) == line[name], name
    assert numbers >= 5 * len(rows)


def test_times_are_iso_text_in_utc(chief):
    """No spreadsheet's own date, whose zone nobody knows."""
    for row in listed(book(chief)[1]):
        for name in ("called_at_utc", "assessed_at_utc"):
            assert row[name].data_type == "s"
            assert datetime.fromisoformat(row[name].value).utcoffset().total_seconds() == 0


def test_what_a_cell_cannot_hold_is_cut_and_said(chief, county):
    """In the cell, and on the sheet of cautions with row, column and length; the CSV has all of it."""
    made = Operation.objects.get(title="Culvert")
    Operation.objects.filter(pk=made.pk).update(outcome=LONG)
    _, found = book(chief, sort="title")
    [(line, cell)] = [(n, row["outcome"]) for n, row in enumerate(listed(found), start=2) if row["outcome"].value]
    assert len(cell.value) == MOST_IN_A_CELL
    kept, _, said = cell.value.rpartition(" [cut")
    assert LONG.startswith(kept) and said == ": 40,000 letters, the CSV has them all]"
    words = {row[0]: row[1] for row in found["Cautions"].iter_rows(values_only=True)}
    assert words["Texts cut at 32,767 letters, the most in a cell; the CSV has them whole"] == "1"
    assert words[f"Cut: row {line}, outcome"] == "40,000 letters"
    assert LONG in [row["outcome"] for row in table(chief)]


def test_a_text_of_the_most_letters_is_whole(chief):
    """One letter of two units in Unicode's 16 bits counts as two, as in the program that opens the file."""
    for text, whole in (("a" * MOST_IN_A_CELL, True), ("🛟" * 16_383, True), ("🛟" * 16_384, False)):
        Operation.objects.filter(title="Culvert").update(outcome=text)
        [cell] = [row["outcome"] for row in listed(book(chief)[1]) if row["outcome"].value]
        assert (as_shown(cell) == text) is whole


def test_rows_beyond_the_last_are_counted(chief, monkeypatch):
    """What the kind of file has no room for is said."""
    monkeypatch.setattr(spreadsheet, "MOST_ROWS", 5)
    _, found = book(chief)
    assert len(listed(found)) == 5
    words = {row[0]: row[1] for row in found["Cautions"].iter_rows(values_only=True)}
    assert words["Left out, for want of rows in this kind of file; the CSV has them"] == "7"
    assert words["Rows"] == "5"


def test_it_says_what_it_means_and_how_it_was_asked(chief, county):
    """Every column with unit and meaning; the cautions, the filters in words, when and by whom."""
    _, found = book(chief, kind="inspection", site=county.site.pk, since="2026-03-01", month="3", overrides="on")
    meant = list(found["Definitions and units"].iter_rows(values_only=True))
    assert meant[1:] == [(one.name, one.unit, one.meaning) for one in COLUMNS]
    words = {row[0]: row[1] for row in found["Cautions"].iter_rows(values_only=True)}
    assert set(CAUTIONS) <= set(words)
    assert (words["Made by"], words["Agency"]) == ("Teo Brandt", "Tarrow County Dive Rescue")
    assert words["Made at (UTC)"].endswith("+00:00")
    assert words["Asked for: Kind"] == "Inspection"
    assert words["Asked for: Site"] == "Quarry basin"
    assert words["Asked for: From day"] == "2026-03-01"
    assert words["Asked for: Month of any year"] == "March"
    assert words["Asked for: Only where another decision was chosen"] == "yes"
    plain = {row[0]: row[1] for row in book(chief)[1]["Cautions"].iter_rows(values_only=True)}
    assert plain["Asked for"] == "everything"


def test_nothing_of_a_neighbour_and_nothing_that_opens_elsewhere(chief, county, as_person):
    """Rows of one's own agency; no formula, link, macro or outer file inside."""
    data, found = book(as_person(county.neighbour_chief))
    assert [row["title"].value for row in listed(found)] == ["Neighbour's barge"]
    names = zipfile.ZipFile(io.BytesIO(data)).namelist()
    assert not [name for name in names if "external" in name or "vba" in name.lower() or "sheet1.xml.rels" in name]


def test_a_bad_filter_is_answered_with_the_page(chief):
    """Which says what is wrong, and no file."""
    answer = chief.get(reverse("review_spreadsheet"), {"kind": "picnic"})
    assert (answer.status_code, answer["Content-Type"]) == (422, "text/html; charset=utf-8")


class Row:
    """As much of an assessment as one column reads."""

    record = "{}"

    def __init__(self, text):
        self.text = text


@given(st.one_of(st.text(max_size=40), st.text(max_size=9).map(lambda text: f"<r>{text}</r>")))
def test_any_text_comes_back_as_it_was(text):
    """Whatever somebody typed, mark-up of the file's own kind included."""
    column = spreadsheet.COLUMNS[0].__class__("x", "", "", lambda row, _: row.text)
    out = io.BytesIO()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(spreadsheet, "COLUMNS", (column,))
        spreadsheet.write_spreadsheet(out, [Row(text)], [])
    cell = load_workbook(out).worksheets[0]["A2"]
    assert cell.data_type in ("s", "inlineStr", "n")
    assert as_shown(cell) == text


def test_the_rows_are_those_of_assessments(chief):
    """Nothing but assessments in force: as many as the CSV."""
    assert len(listed(book(chief)[1])) == Assessment.objects.current().filter(operation__agency__slug="tarrow").count()
