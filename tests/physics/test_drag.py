"""A diver's load is a range that contains what was published, and effort follows the swim trials."""

import pytest

from opsrisk.physics.drag import diver_drag_area_m2, diver_load, swim_effort, tended_diver_load
from opsrisk.physics.holding import worst_pull_n
from opsrisk.physics.ranges import OutOfRange
from opsrisk.reference.units import to_si

KNOT = 1852 / 3600


def test_the_swimming_range_runs_from_wind_tunnel_to_the_rough_table():
    """At 1 kn in sea water: 10.9 N from Cd 0.40 on 0.2 m2, 40 N (9 lbf) from the rough table."""
    load = diver_load(posture="swimming", current_mps=KNOT, density_kgpm3=1025)
    assert load.low_n == pytest.approx(10.9, abs=0.15)
    assert load.high_n == pytest.approx(9 * 4.4482216, rel=1e-6)


def test_the_standing_range_takes_in_nine_square_feet():
    """At 1 kn in sea water a standing diver's range holds the 114 N of 9 ft2, a figure from memory; at 1.5 kn 2.25 times all."""
    slow = diver_load(posture="standing", current_mps=KNOT, density_kgpm3=1025)
    fast = diver_load(posture="standing", current_mps=1.5 * KNOT, density_kgpm3=1025)
    assert slow.low_n < 114 < slow.high_n
    assert slow.high_n == pytest.approx(1.3 * 0.75 * 135.65, abs=0.5)
    assert fast.high_n == pytest.approx(2.25 * slow.high_n)


def test_postures_follow_on_from_each_other():
    """Swimming, working and standing cover one range without a hole."""
    swimming, working, standing = (diver_drag_area_m2(p) for p in ("swimming", "working", "standing"))
    assert swimming[1] == working[0]
    assert working[1] == standing[0]


def test_a_tending_line_adds_nothing_at_best_and_its_worst_pull_at_worst():
    """The low load is the diver's alone; the high one has the line across the current on top."""
    line = {"line_diameter_m": 0.01, "line_out_m": 40.0, "depth_m": 8.0}
    diver = diver_load(posture="working", current_mps=0.5, density_kgpm3=1000)
    tended = tended_diver_load(posture="working", current_mps=0.5, density_kgpm3=1000, **line)
    assert tended.low_n == diver.low_n
    assert tended.high_n == pytest.approx(diver.high_n + worst_pull_n(current_mps=0.5, density_kgpm3=1000, **line))


@pytest.mark.parametrize(
    ("knots", "effort"),
    [
        ("0.8", "efficient"),
        ("0.81", "hard"),
        ("1.0", "hard"),
        ("1.01", "not for long"),
        ("1.94", "not for long"),
        ("1.95", "carried away"),
    ],
)
def test_effort_changes_at_the_published_speeds(knots, effort):
    """0.8 kn, 1.0 kn and 1 m/s still belong to the easier side."""
    assert swim_effort(to_si(knots, "kn")) == effort


def test_what_nobody_measured_is_refused():
    """A posture without a published area, a current beyond the range, and a negative one are refused by name."""
    with pytest.raises(OutOfRange, match="posture"):
        diver_load(posture="sitting", current_mps=0.5, density_kgpm3=1000)
    with pytest.raises(OutOfRange, match="current_mps"):
        diver_load(posture="standing", current_mps=5.1, density_kgpm3=1000)
    with pytest.raises(OutOfRange, match="current_mps"):
        swim_effort(-0.1)
