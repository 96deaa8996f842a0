"""The CSV comes back as it went out, defines its columns, and runs nothing in a spreadsheet."""

import csv
import io

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from opsrisk.review.export import COLUMNS, RUNS_AS_FORMULA, guarded


def table(client, name="review_csv", **asked):
    answer = client.get(reverse(name), asked)
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(b"".join(answer.streaming_content).decode(), newline="")))


@pytest.fixture
def chief(county, as_person):
    return as_person(county.chief)


def test_every_row_comes_back(chief, county):
    """What is read from the CSV is what stands in the database, row by row."""
    rows = {row["assessment_id"]: row for row in table(chief)}
    assert len(rows) == 12
    for operation in county.agency.operations.exclude(assessments=None):
        assessment = operation.assessments.get()
        row = rows[str(assessment.pk)]
        assert row["score_points"] == ("" if assessment.score is None else str(assessment.score))
        assert row["decision"] == assessment.decision
        assert row["chosen_decision"] == assessment.chosen_decision
        assert row["protocol_version"] == assessment.protocol.version
        assert row["record_sha256"] == assessment.digest
        assert row["assessed_at_utc"] == assessment.assessed_at.isoformat()
        assert row["title"].removeprefix("'") == operation.title


def test_readings_are_in_the_units_that_the_columns_name(chief):
    """0.8 kn, 2 ft, 24 ft and 7 C of the record are 0.80, 2.0, 24.0 and 7.0 in their columns."""
    row = table(chief)[0]
    assert (row["current_kn"], row["visibility_ft"], row["depth_ft"], row["water_temperature_c"]) == (
        "0.80",
        "2.0",
        "24.0",
        "7.0",
    )


def test_filters_hold_for_the_csv_too(chief):
    """The CSV holds all rows that match, and only those, in the order asked for."""
    assert [row["title"] for row in table(chief, kind="inspection", sort="score")] == [
        "Bridge pier",
        "Second culvert",
        "Culvert",
    ]


def test_an_override_is_in_the_csv(chief):
    """Reason and second person are exported."""
    [row] = table(chief, overrides="on")
    assert row["override"] == "yes"
    assert row["override_reason"] == "Target confirmed by the harbour's own diver"
    assert row["override_second"] == "Oskar Lund"


def test_a_title_that_would_run_as_a_formula_is_text(chief):
    """A title beginning with = arrives with an apostrophe in front."""
    assert [row["title"] for row in table(chief, overrides="on")] == ["'=Skiff+1"]


def test_every_column_is_defined(chief):
    """The definitions name each column of the CSV once, in its order, in words."""
    defined = table(chief, "review_definitions")
    assert [row["column"] for row in defined] == list(table(chief)[0])
    assert all(len(row["definition"]) > 10 for row in defined)
    assert {column.name.rsplit("_", 1)[-1]: column.unit for column in COLUMNS}["kn"] == "knots"


@given(st.text(max_size=40))
def test_no_text_starts_a_formula(text):
    """Whatever somebody typed, no cell begins with what a spreadsheet runs, and nothing else is altered."""
    cell = guarded(text)
    assert not cell.lstrip(" ").startswith(RUNS_AS_FORMULA)
    assert cell in (text, f"'{text}")


def test_a_negative_number_stays_a_number():
    """Only text is guarded."""
    assert guarded(-1) == "-1"
