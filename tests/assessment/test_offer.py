"""What the device can work out for a place is proposed with its bounds, and never more than that."""

import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from opsrisk.assessment.offer import offer
from opsrisk.physics.daylight import daylight
from opsrisk.physics.station import Station
from opsrisk.physics.tides import velocity_mps
from opsrisk.reference.units import to_si

STATIONS = json.loads((Path(__file__).parents[2] / "fixtures" / "stations" / "selection.json").read_text())["stations"]
NOW = datetime.fromisoformat("2026-11-25T12:00:00-05:00")
SITE = {"name": "Harbour mouth"}


def hours(count):
    return [NOW + timedelta(minutes=20 * n) for n in range(3 * count)]


def test_no_station_no_proposal():
    """Without constituents nothing is known of the current."""
    assert offer("current", SITE, None, NOW) is None


def test_an_unknown_reading_has_no_proposal():
    """Only what can be computed is proposed."""
    assert offer("visibility", SITE, STATIONS[0], NOW) is None


@pytest.mark.parametrize("station", STATIONS, ids=lambda station: station["id"])
def test_the_bounds_hold_the_predicted_speed(station):
    """Low and high enclose the prediction after rounding, over a whole tide."""
    known = Station.from_document(station)
    for at in hours(13):
        found = offer("current", SITE, station, at)
        low, value, high = (to_si(found[name], "kn") for name in ("low", "value", "high"))
        assert low <= value <= high
        assert low <= abs(velocity_mps(known, at)) <= high
        assert found["unit"] == "kn"


def test_a_window_is_given_only_while_the_water_is_slack():
    """Its end lies ahead, and until then the predicted speed stays under half a knot."""
    station = STATIONS[0]
    known = Station.from_document(station)
    limit = to_si("0.5", "kn")
    seen = {True: 0, False: 0}
    for at in hours(26):
        window = offer("current", SITE, station, at).get("window")
        seen[bool(window)] += 1
        if not window:
            continue
        ends = datetime.fromisoformat(window["ends"])
        assert ends > at - timedelta(minutes=1)
        assert window["source"] == known.name
        assert all(abs(velocity_mps(known, at + (ends - at) * k / 10)) <= limit for k in range(11))
    assert seen[True] and seen[False]


def test_the_words_say_that_it_is_a_prediction():
    """Nobody takes it for a measurement."""
    words = offer("current", SITE, STATIONS[0], NOW)["words"]
    assert "predicted" in words
    assert "measure it if you can" in words


def test_daylight_is_proposed_from_the_place():
    """Minutes to dusk at the place, whole and rounded down; nothing without a position."""
    site = {"lat": "45.5", "lon": "-120.25"}
    at = datetime.fromisoformat("2026-06-12T18:00:00-07:00")
    found = offer("daylight", site, None, at)
    known = daylight(at, latitude_deg=45.5, longitude_deg=-120.25)
    assert found["unit"] == "min"
    assert int(found["value"]) <= known.to_dusk_min < int(found["value"]) + 1
    assert offer("daylight", {"lat": None, "lon": None}, None, at) is None


def test_a_night_without_darkness_is_a_day_long():
    """North of the circle in June the question's own limit is proposed, with the reason."""
    at = datetime.fromisoformat("2026-06-21T12:00:00+02:00")
    found = offer("daylight", {"lat": "69.6", "lon": "18.9"}, None, at)
    assert found["value"] == "1440"
    assert "does not set" in found["words"]
