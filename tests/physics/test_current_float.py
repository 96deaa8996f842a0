"""Float runs against known truth, and the profile over depth against the published coefficient."""

from itertools import pairwise
from math import cos, log, pi
from random import Random

import pytest

from opsrisk.physics.current import (
    ROUGHEST_COEFFICIENT,
    SMOOTHEST_COEFFICIENT,
    FloatRun,
    float_speed,
    log_law_coefficient,
    power_of,
    speed_at_depth,
)
from opsrisk.physics.ranges import OutOfRange
from opsrisk.reference.current import FLOAT_COEFFICIENT_HIGH, FLOAT_COEFFICIENT_LOW


def test_one_run_is_distance_over_time():
    """v = L / t (Herschy); the spread of a single run is not known."""
    speed = float_speed([FloatRun(30, 60, 45)])
    assert speed.surface_mps == 0.5
    assert speed.spread_mps is None
    assert speed.direction_deg == pytest.approx(45)
    assert speed.low_mps < 0.5 < speed.high_mps


def test_the_published_float_coefficient():
    """2.62 m/s at the surface is 2.227 m/s over the depth."""
    surface = 2.62
    speed = float_speed([FloatRun(surface * 60, 60)])
    assert speed.mean_mps == pytest.approx(2.227, abs=0.001)


@pytest.mark.parametrize(("truth", "gusts", "runs"), [(0.3, 0.1, 3), (0.8, 0.15, 3), (0.5, 0.3, 5), (1.5, 0.1, 8)])
def test_the_bounds_hold_the_truth_of_simulated_runs(truth, gusts, runs):
    """Two thousand simulated sets of floats with gusts, watch and tape errors: the true mean is inside in 95 %."""
    chance = Random(5)
    inside = 0
    for _ in range(2000):
        floats, tape = [], 20 * (1 + chance.uniform(-0.02, 0.02))
        for _ in range(runs):
            speed = max(0.02, chance.gauss(truth, gusts * truth))
            floats.append(FloatRun(20, tape / speed + chance.gauss(0, 0.25)))
        found = float_speed(floats)
        inside += found.low_mps <= truth <= found.high_mps
    assert inside >= 0.95 * 2000


def test_directions_are_averaged_on_the_circle():
    """North by a little east and north by a little west is north, not south."""
    speed = float_speed([FloatRun(10, 20, 350), FloatRun(10, 20, 10), FloatRun(10, 20, 355), FloatRun(10, 20, 6)])
    assert speed.direction_deg == pytest.approx(0.25, abs=0.1)


def test_floats_that_go_everywhere_have_no_direction():
    """Opposite drifts cancel: no direction is better than a wrong one."""
    assert float_speed([FloatRun(10, 20, 0), FloatRun(10, 20, 180)]).direction_deg is None


@pytest.mark.parametrize("coefficient", [0.84, 0.85, 0.875, 0.90])
def test_the_power_law_integrates_to_its_coefficient(coefficient):
    """Adding the profile up over the depth gives the coefficient that it was made from."""
    m, slices = power_of(coefficient), 200_000
    total = sum(((k + 0.5) / slices) ** (1 / m) for k in range(slices)) / slices
    assert total == pytest.approx(coefficient, abs=1e-4)


def test_the_log_law_over_usual_beds_lies_in_the_published_range():
    """Gravel to cobbles in 1 to 10 m of water: 0.82 to 0.92, around ISO 748's 0.84 to 0.90 (from memory)."""
    found = [
        log_law_coefficient(depth_m=depth, roughness_m=grain / 30)
        for depth in (1, 3, 10)
        for grain in (0.002, 0.02, 0.1)
    ]
    assert min(found) == pytest.approx(ROUGHEST_COEFFICIENT, abs=0.005)
    assert max(found) == pytest.approx(SMOOTHEST_COEFFICIENT, abs=0.005)
    middle = sorted(found)[len(found) // 2]
    assert FLOAT_COEFFICIENT_LOW.si <= middle <= FLOAT_COEFFICIENT_HIGH.si


def test_the_log_law_integrates_to_its_coefficient():
    """The closed form is the integral of ln(z / z0)."""
    depth, z0, slices = 4.0, 0.01, 200_000
    total = sum(log(max(depth * (k + 0.5) / slices, z0) / z0) for k in range(slices)) / slices
    assert log_law_coefficient(depth_m=depth, roughness_m=z0) == pytest.approx(total / log(depth / z0), abs=0.003)


def test_the_speed_falls_towards_the_bottom():
    """Surface speed at the surface, nothing at the bottom, never more below than above."""
    speeds = [speed_at_depth(surface_mps=1.0, depth_m=d, total_depth_m=10) for d in range(11)]
    assert speeds[0].speed_mps == 1.0
    assert speeds[10].speed_mps == 0.0
    for one, deeper in pairwise(speeds):
        assert deeper.speed_mps <= one.speed_mps
        assert one.low_mps <= one.speed_mps <= one.high_mps


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: float_speed([]), "runs"),
        (lambda: float_speed([FloatRun(0.2, 20)]), "distance_m"),
        (lambda: float_speed([FloatRun(10, 1)]), "seconds"),
        (lambda: float_speed([FloatRun(100, 3)]), "runs"),
        (lambda: float_speed([FloatRun(10, 20, cos(pi) * 5)]), "direction_deg"),
        (lambda: speed_at_depth(surface_mps=1, depth_m=11, total_depth_m=10), "depth_m"),
        (lambda: log_law_coefficient(depth_m=1, roughness_m=0.5), "roughness_m"),
    ],
)
def test_impossible_runs_are_refused_by_name(call, named):
    """The argument, what was given, what is accepted."""
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert refusal.value.argument == named
