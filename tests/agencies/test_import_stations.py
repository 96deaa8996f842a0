"""manage.py import_stations takes over stations that may be used, and says what it left out."""

import json
import shutil
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from opsrisk.agencies.management.commands.import_stations import ROOT, SELECTION
from opsrisk.agencies.models import CurrentStation
from opsrisk.agencies.stations import pack, sort_out
from opsrisk.ledger.models import Entry
from opsrisk.physics.station import Station

GOOD = {
    "id": "noaa/TEST1@4",
    "name": "Invented Narrows",
    "context": "a name with another licence",
    "lat": 48.5,
    "lon": -122.25,
    "licence": "public domain",
    "current": {"flood_direction": 100.04, "ebb_direction": 280.0, "mean_flow": -0.1},
    "constituents": [
        {"name": "M2", "amplitude": 1.98300004, "phase": 318.89999},
        {"name": "S6", "amplitude": 0, "phase": 0},
    ],
}
needs_database = pytest.mark.skipif(
    not shutil.which("node") or not (ROOT / "node_modules" / "@neaps" / "tide-database").is_dir(),
    reason="node and @neaps/tide-database are not here; the shipped selection needs neither",
)


@pytest.mark.django_db
def test_the_selection_is_taken_over_with_a_ledger_entry_each():
    """Twelve stations, readable by the physics, and a log that says who took them over."""
    out = StringIO()
    call_command("import_stations", stdout=out)
    assert "12 current stations" in out.getvalue()
    assert CurrentStation.objects.count() == 12
    for row in CurrentStation.objects.all():
        assert Station.from_document(row.data).id == row.id
    assert Entry.objects.filter(verb="load_station").count() == 12


@pytest.mark.django_db
def test_taking_over_twice_changes_nothing():
    """The command can be run again after an update."""
    call_command("import_stations", stdout=StringIO())
    call_command("import_stations", stdout=StringIO())
    assert CurrentStation.objects.count() == 12


def test_the_selection_names_its_source_and_licence():
    """The file on its own says where it is from and that it is in the public domain."""
    document = json.loads(SELECTION.read_text())
    assert document["licence"] == "public domain"
    assert "National Oceanic and Atmospheric Administration" in document["source"]


def test_a_packed_station_has_what_was_published_and_no_more():
    """Decimal strings of the published precision, constituents of no size dropped, names from elsewhere left out."""
    packed = pack(GOOD)
    assert packed["id"] == "TEST1@4"
    assert packed["depth_bin"] == "4"
    assert packed["flood_direction"] == "100.0"
    assert packed["constituents"] == [["M2", "1.983", "318.9"]]
    assert "context" not in packed


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"licence": "MIT"}, "licence is MIT"),
        ({"licence": ""}, "licence is not stated"),
        ({"constituents": []}, "no constituents of its own"),
        ({"lat": 123.0}, "refused, lat"),
    ],
)
def test_a_station_that_may_not_be_used_is_left_out_and_counted(change, reason):
    """Only stations whose own licence field says public domain, with constituents, and sound."""
    found = sort_out([GOOD, {**GOOD, **change}])
    assert len(found.kept) == 1
    assert found.left_out == {reason: 1}


def test_a_file_of_another_kind_is_refused(tmp_path):
    """Named with what was given and what is accepted."""
    other = tmp_path / "other.json"
    other.write_text('{"format": "something/1"}')
    with pytest.raises(CommandError, match=r"accepted opsrisk\.stations/1"):
        call_command("import_stations", file=other)


@needs_database
def test_the_shipped_selection_is_what_the_database_says(tmp_path):
    """Writing it anew from the installed database gives the same file, byte for byte."""
    copy = tmp_path / "selection.json"
    copy.write_bytes(SELECTION.read_bytes())
    out = StringIO()
    call_command("import_stations", "--select", file=copy, stdout=out)
    assert copy.read_bytes() == SELECTION.read_bytes()
    assert "left out: licence is MIT" in out.getvalue()


@needs_database
@pytest.mark.django_db
def test_all_usable_stations_can_be_taken_over():
    """More than eight hundred, and the count of each reason for leaving one out."""
    out = StringIO()
    call_command("import_stations", "--all", stdout=out)
    assert CurrentStation.objects.count() > 800
    assert "left out: no constituents of its own" in out.getvalue()


@needs_database
def test_an_unknown_id_is_named(tmp_path):
    """Nothing is written when one of the ids does not exist."""
    with pytest.raises(CommandError, match="NOWHERE"):
        call_command("import_stations", "--select", "NOWHERE", file=tmp_path / "new.json", stdout=StringIO())
    assert not (tmp_path / "new.json").exists()
