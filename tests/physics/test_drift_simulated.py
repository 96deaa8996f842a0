"""The search ellipse against simulated drifts, and the tidal way against closed form."""

from datetime import UTC, datetime, timedelta
from math import cos, log, pi, radians, sin, sqrt
from random import Random

import pytest

from opsrisk.physics.drift import drift_minutes, search_area, tidal_displacement_m
from opsrisk.physics.equilibrium import speed_deg_per_hour
from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.station import Station
from opsrisk.physics.tides import turning_points, velocity_mps

CASES = [
    {
        "speed_mps": (0.3, 0.5),
        "minutes": (4, 8),
        "towards_deg": 70,
        "direction_spread_deg": 10,
        "last_seen_error_m": 20,
    },
    {
        "speed_mps": (0.8, 1.6),
        "minutes": (2, 12),
        "towards_deg": 200,
        "direction_spread_deg": 20,
        "last_seen_error_m": 30,
    },
    {"speed_mps": (0.0, 0.2), "minutes": (1, 3), "towards_deg": 0, "direction_spread_deg": 20, "last_seen_error_m": 15},
    {
        "speed_mps": (1.0, 1.0),
        "minutes": (5, 5),
        "towards_deg": 315,
        "direction_spread_deg": 5,
        "last_seen_error_m": 50,
    },
]


def drifts(case, count=100_000):
    """Points at rest for `case`, metres east and north of the last-seen point."""
    chance = Random(3)
    deviation = case["last_seen_error_m"] / sqrt(-2 * log(0.05))
    spread = case["direction_spread_deg"]
    for _ in range(count):
        way = chance.uniform(*case["speed_mps"]) * chance.uniform(*case["minutes"]) * 60
        turn = radians(case["towards_deg"] + chance.uniform(-spread, spread))
        yield way * sin(turn) + chance.gauss(0, deviation), way * cos(turn) + chance.gauss(0, deviation)


@pytest.mark.parametrize("case", CASES, ids=range(len(CASES)))
@pytest.mark.parametrize("share", [0.5, 0.95])
def test_the_ellipse_holds_the_share_it_says(case, share):
    """Simulated drifts fall inside as often as stated: within 0.02 at 0.95, within 0.04 at one half."""
    area = search_area(**case, containment=share)
    points = list(drifts(case, 20_000))
    inside = sum(area.holds(east_m=east, north_m=north) for east, north in points) / len(points)
    assert inside == pytest.approx(share, abs=0.02 if share > 0.9 else 0.04)


def test_without_a_current_it_is_a_circle_around_the_last_seen_point():
    """Then only the witness is uncertain: the ellipse is the circle of the stated radius."""
    area = search_area(speed_mps=(0, 0), minutes=(0, 5), towards_deg=90, direction_spread_deg=10, last_seen_error_m=40)
    assert area.centre_m == 0
    assert area.half_length_m == pytest.approx(40)
    assert area.half_width_m == pytest.approx(40)
    assert area.area_m2 == pytest.approx(pi * 1600)


def test_a_faster_current_or_a_vaguer_witness_never_shrinks_the_area():
    """Knowing less means searching more."""
    base = CASES[0]
    areas = [search_area(**base | {"speed_mps": (0.3, top)}).area_m2 for top in (0.4, 0.6, 0.9)]
    areas += [search_area(**base | {"last_seen_error_m": error}).area_m2 for error in (60, 90, 200)]
    assert areas[:3] == sorted(areas[:3])
    assert areas[3:] == sorted(areas[3:])


def test_sinking_adds_its_own_time():
    """Twelve metres at 0.4 to 0.8 m/s: a quarter to half a minute on top of the time at the surface."""
    assert drift_minutes(surface_min=(1, 3), depth_m=12, sink_mps=(0.4, 0.8)) == (1.25, 3.5)


def test_the_way_of_a_single_tide_is_its_integral():
    """From slack to slack one semidiurnal constituent carries a float by twice its amplitude over its speed."""
    station = Station.from_document(
        {
            "id": "one", "name": "One constituent", "lat": "0", "lon": "0", "flood_direction": "0",
            "ebb_direction": "180", "mean_flow_kn": "0", "depth_bin": "", "constituents": [["S2", "2.0", "0"]],
        }
    )  # fmt: skip
    peak = turning_points(station, datetime(2026, 6, 1, 0, 30, tzinfo=UTC), 13)
    start = next(at for at in peak if velocity_mps(station, at) < 0) + timedelta(hours=3)
    expected = 2 * (2.0 * 1852 / 3600) / radians(speed_deg_per_hour("S2")) * 3600
    assert tidal_displacement_m(station, start=start, minutes=360) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"speed_mps": (0.5, 0.3)}, "speed_mps"),
        ({"minutes": (0, 1000)}, "minutes"),
        ({"direction_spread_deg": 60}, "direction_spread_deg"),
        ({"last_seen_error_m": 0}, "last_seen_error_m"),
        ({"containment": 1.0}, "containment"),
    ],
)
def test_impossible_drifts_are_refused_by_name(change, named):
    """The argument, what was given, what is accepted."""
    with pytest.raises(OutOfRange) as refusal:
        search_area(**{**CASES[0], **change})
    assert refusal.value.argument == named
