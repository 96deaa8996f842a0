"""A station's document is read whole or refused by field."""

from datetime import UTC, datetime
from itertools import pairwise

import pytest

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.station import Station
from opsrisk.physics.tides import direction_deg, turning_points, velocity_mps
from tests.physics.frozen import selection

GOOD = {
    "id": "made-up",
    "name": "Invented Narrows",
    "lat": "48.0",
    "lon": "-122.0",
    "flood_direction": "100",
    "ebb_direction": "280",
    "mean_flow_kn": "-0.1",
    "depth_bin": "6",
    "constituents": [["M2", "2.0", "120.5"], ["K1", "0.5", "30"]],
}


def test_a_station_comes_out_in_si():
    """Knots in the document become metres a second; the depth bin and directions stay as they are."""
    station = Station.from_document(GOOD)
    assert station.mean_flow_mps == pytest.approx(-0.1 * 1852 / 3600)
    assert station.constituents[0].amplitude_mps == 2.0 * 1852 / 3600
    assert direction_deg(station, 0.4) == 100
    assert direction_deg(station, -0.4) == 280


@pytest.mark.parametrize(
    ("field", "value", "named"),
    [
        ("id", "", "id"),
        ("lat", "91", "lat"),
        ("lon", "east", "lon"),
        ("flood_direction", None, "flood_direction"),
        ("mean_flow_kn", "nan", "mean_flow_kn"),
        ("constituents", [], "constituents"),
        ("constituents", [["M2", "2.0"]], "constituents"),
        ("constituents", [["XX9", "2.0", "1"]], "constituents"),
        ("constituents", [["M2", "2.0", "1"], ["M2", "1.0", "1"]], "constituents"),
        ("constituents", [["M2", "-2.0", "1"]], "amplitude_kn"),
        ("constituents", [["M2", True, "1"]], "amplitude_kn"),
        ("constituents", [["M2", "2.0", "361"]], "phase_deg_gmt"),
    ],
)
def test_a_bad_field_is_refused_by_name(field, value, named):
    """Whatever is missing, unknown or impossible is refused with the field, what was given and what is accepted."""
    with pytest.raises(OutOfRange) as refusal:
        Station.from_document({**GOOD, field: value})
    assert refusal.value.argument == named
    assert "accepted" in str(refusal.value)


@pytest.mark.parametrize("text", ["2026-01-01T00:00", "1969-12-30T00:00Z", "2101-01-02T00:00Z"])
def test_a_time_without_offset_or_out_of_range_is_refused(text):
    """A clock time means nothing without its offset, and the longitudes hold from 1970 to 2100."""
    with pytest.raises(OutOfRange):
        velocity_mps(Station.from_document(GOOD), datetime.fromisoformat(text))


def test_velocity_is_smooth_over_midnight():
    """The daily change of node factors leaves no step that matters: under 0.01 kn at every station."""
    for station in selection().values():
        before = velocity_mps(station, datetime(2026, 3, 4, 23, 59, 59, 999999, tzinfo=UTC))
        after = velocity_mps(station, datetime(2026, 3, 5, tzinfo=UTC))
        assert abs(after - before) < 0.01 * 1852 / 3600, station.id


def test_between_turning_points_the_velocity_is_monotone():
    """Windows rest on it: between two turning points the current only grows or only falls."""
    station = selection()["PUG1702"]
    start = datetime(2026, 11, 25, tzinfo=UTC)
    turns = turning_points(station, start, 48)
    for left, right in pairwise(turns):
        looks = [velocity_mps(station, left + (right - left) * k / 50) for k in range(51)]
        steps = [b - a for a, b in pairwise(looks)]
        assert all(step > -1e-6 for step in steps) or all(step < 1e-6 for step in steps)
