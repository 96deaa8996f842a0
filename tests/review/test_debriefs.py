"""What the debriefs say across operations: every count adds up to the operations listed, and what is missing is said."""

import csv
import io

import pytest

from opsrisk.operations.debrief_actions import Told, debrief
from opsrisk.operations.models import Assessment, Operation
from opsrisk.review.debriefs import debriefs
from opsrisk.review.listing import assessments
from tests.operations.test_debrief import TOLD


@pytest.fixture
def told(county):
    """Half of the operations are debriefed, one of them twice."""
    operations = Operation.objects.for_person(county.chief).exclude(title="Called off").order_by("title")
    changes = [
        {}, {"injuries": "minor", "diver_minutes": "41", "found_by": "divers"}, {"near_miss": "yes", "near_miss_words": "A line caught."},
        {"diver_minutes": "not known", "found_by": "not_found"}, {"looking_back": "too_bold"}, {"vehicle_minutes": "not known"},
    ]  # fmt: skip
    at = operations[0].called_at
    for operation, change in zip(operations[:6], changes, strict=True):
        debrief(operation=operation, told=Told(**(TOLD | change)), by=county.supervisor, at=at)
    again = Told(
        **(TOLD | {"injuries": "serious", "diver_minutes": "7", "reason": "The hospital's letter came later."})
    )
    debrief(operation=operations[0], told=again, by=county.chief, at=at)
    return county


def test_every_table_adds_up_to_the_debriefs_and_these_to_the_operations(told):
    """No operation is counted twice, none is dropped; a replaced debrief counts no more."""
    rows = assessments(told.chief, {})
    found = debriefs(rows, "us")
    assert found.operations == rows.values("operation").distinct().count() == 12
    assert (found.debriefed, found.missing) == (6, 6)
    for table in found.tables:
        assert sum(number for _, number in table.rows) == found.debriefed
    assert sum(row.operations for row in found.exposure) == found.debriefed
    assert sum(row.diver_minutes for row in found.exposure) == 41 + 7
    assert sum(row.diver_unknown for row in found.exposure) == 1
    assert dict(found.tables[0].rows)["Taken to hospital"] == 1
    assert (found.spared, found.spared_minutes) == (3, 76)


def test_the_bands_are_in_the_agencys_units(told):
    """The same edges, in feet or in metres."""
    rows = assessments(told.chief, {})
    assert [row.band for row in debriefs(rows, "us").exposure] == [
        "under 1 ft",
        "1 to 3 ft",
        "3 to 10 ft",
        "10 ft and more",
        "not known",
    ]
    assert debriefs(rows, "metric").exposure[0].band == "under 0.3 m"


def test_page_and_export_say_the_same(told, as_person):
    """The page's count of the missing is the export's count of empty ones."""
    client = as_person(told.chief)
    page = client.get("/review/").content.decode()
    assert "6 of 12 operations with an assessment in force were debriefed; 6 were not" in page
    text = b"".join(client.get("/review/operations.csv").streaming_content).decode()
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["debriefed"] for row in rows].count("no") == 6
    assert sum(int(row["diver_minutes"] or 0) for row in rows) == 48
    assert Assessment.objects.for_person(told.chief).current().count() == len(rows)


def test_a_neighbours_debrief_is_not_among_them(told, as_person):
    """Another agency sees its own, which has none."""
    found = debriefs(assessments(told.neighbour_chief, {}), "metric")
    assert (found.debriefed, found.operations) == (0, 1)
