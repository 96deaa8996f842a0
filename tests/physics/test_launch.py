"""Launching: the side that needs least thrust, what holds, and what the line comes too near to."""

from math import dist

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from opsrisk.physics.launch import Obstacle, Place, hold_station, launch_side, snags
from opsrisk.physics.launch import _gap as gap
from opsrisk.physics.line import Line
from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.tether import hang

STREAM = ((0.0, 0.6, 0.0),)
TARGET = (0.0, 0.0, 8.0)
PLACES = (
    Place("bank below", (30.0, 5.0, 0.0)),
    Place("bank abreast", (0.0, 30.0, 0.0)),
    Place("bank above", (-30.0, 5.0, 0.0)),
)


def test_the_place_up_current_comes_first():
    """Of three places as far away, the one up-current needs least thrust and the one abreast most."""
    ranked = launch_side(
        places=PLACES,
        target_m=TARGET,
        diameter_m=0.008,
        profile=STREAM,
        density_kgpm3=1000,
        thrust_n=60,
        drag_area_m2=0.1,
    )
    assert ranked[0][0].name == "bank above"
    assert ranked[-1][0].name == "bank abreast"
    assert [s.thrust_needed_n for _, s in ranked] == sorted(s.thrust_needed_n for _, s in ranked)


def test_a_vehicle_holds_up_to_its_thrust_and_says_how_much_is_to_spare():
    """At the current to spare, and not above it, the thrust needed equals the thrust."""
    usual = {
        "line": Line(40, 0.008), "vehicle_m": (0, 30, 8), "platform_m": (0, 0, 0), "density_kgpm3": 1000, "thrust_n": 60,
        "drag_area_m2": 0.1,
    }  # fmt: skip
    station = hold_station(**usual, profile=STREAM)
    assert station.holds
    limit = tuple((z, u * station.current_to_spare, v) for z, u, v in STREAM)
    assert hold_station(**usual, profile=limit).share == pytest.approx(1.0, rel=1e-3)
    over = tuple((z, 1.01 * u, v) for z, u, v in limit)
    assert not hold_station(**usual, profile=over).holds


def test_a_sheared_current_acts_on_the_vehicle_at_its_own_depth():
    """Still water at the target leaves only the line's pull to hold."""
    sheared = ((0.0, 1.0, 0.0), (4.0, 0.2, 0.0), (8.0, 0.0, 0.0))
    station = hold_station(
        line=Line(20, 0.008), vehicle_m=(-10, 10, 8), platform_m=(0, 0, 0), profile=sheared, density_kgpm3=1000, thrust_n=60,
        drag_area_m2=0.5,
    )  # fmt: skip
    x, y, _ = station.shape.vehicle_pull_n
    assert station.thrust_needed_n == pytest.approx((x * x + y * y) ** 0.5, rel=1e-9)


def test_nowhere_to_launch_from_is_refused():
    """Without a place there is no answer."""
    with pytest.raises(OutOfRange, match="places"):
        launch_side(
            places=(),
            target_m=TARGET,
            diameter_m=0.008,
            profile=STREAM,
            density_kgpm3=1000,
            thrust_n=60,
            drag_area_m2=0.1,
        )


def test_a_piling_in_the_belly_of_the_line_is_a_snag_and_one_behind_it_is_not():
    """The line bellies down-current: a piling 5 m down-current is within 2 m of it, one 5 m up-current is not."""
    shape = hang(line=Line(44, 0.008), vehicle_m=(0, 40, 4), platform_m=(0, 0, 0), profile=STREAM, density_kgpm3=1000)
    belly = max(shape.points_m)
    near = Obstacle("piling down-current", (belly[0] + 1, belly[1], 0), (belly[0] + 1, belly[1], 10))
    far = Obstacle("piling up-current", (-5, 20, 0), (-5, 20, 10))
    found = snags(shape, (far, near), 2.0)
    assert [snag.obstacle for snag in found] == ["piling down-current"]
    assert found[0].distance_m == pytest.approx(1.0, abs=0.05)
    with pytest.raises(OutOfRange, match="clearance_m"):
        snags(shape, (near,), -1.0)


points = st.tuples(*[st.floats(-10, 10)] * 3)


@settings(max_examples=200, deadline=None)
@given(points, points, points, points)
def test_the_gap_between_two_pieces_is_the_least_over_a_fine_grid(a, b, c, d):
    """No pair of points on the two pieces is nearer than the gap, and a fine grid comes close to it."""

    def on(p, q, share):
        return tuple(x + share * (y - x) for x, y in zip(p, q, strict=True))

    grid = min(dist(on(a, b, i / 40), on(c, d, j / 40)) for i in range(41) for j in range(41))
    distance, at = gap(a, b, c, d)
    assert distance <= grid + 1e-6
    assert grid - distance <= (dist(a, b) + dist(c, d)) / 80 + 1e-6
    assert dist(at, on(a, b, 0)) + dist(at, on(a, b, 1)) == pytest.approx(dist(a, b), abs=1e-6)
