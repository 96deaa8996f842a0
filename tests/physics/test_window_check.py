"""A reading on scene against the prediction: agrees, shifts or voids the window, and says so."""

from datetime import UTC, datetime, timedelta

import pytest

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.tides import velocity_mps
from opsrisk.physics.window import windows
from opsrisk.physics.window_check import check_windows
from tests.physics.frozen import KNOT_MPS, selection

STATION = selection()["SFB1203"]
LIMIT = 0.6 * KNOT_MPS
MINUTE = timedelta(minutes=1)
# A slack of that day; half an hour and more before it the ebb or flood still runs clearly.
SLACK = windows(STATION, limit_mps=LIMIT, start=datetime(2026, 11, 25, 18, tzinfo=UTC), hours=4)[0]


def check(at, speed, spread=0.02, limit=LIMIT):
    return check_windows(
        STATION,
        measured_low_mps=max(0.0, speed - spread),
        measured_high_mps=speed + spread,
        measured_at=at,
        limit_mps=limit,
        hours=6,
        uncertainty_min=10,
    )


def test_a_reading_that_agrees_leaves_the_window():
    """The prediction measured on the spot changes nothing."""
    at = SLACK.starts - 50 * MINUTE
    checked = check(at, abs(velocity_mps(STATION, at)))
    assert checked.verdict == "agrees"
    assert abs(checked.windows[0].starts - SLACK.starts) < timedelta(seconds=2)
    assert "agrees" in checked.said


@pytest.mark.parametrize("late_min", [-40, -25, 25, 40])
def test_a_tide_that_is_early_or_late_moves_the_window(late_min):
    """Water as it should have been half an hour ago means that slack comes half an hour later; and the reverse."""
    at = SLACK.starts - 70 * MINUTE
    checked = check(at, abs(velocity_mps(STATION, at - late_min * MINUTE)))
    assert checked.verdict == "shifted"
    assert checked.shift_min == pytest.approx(late_min, abs=2)
    assert checked.windows[0].usable_starts - SLACK.usable_starts == pytest.approx(
        late_min * MINUTE, abs=timedelta(minutes=2)
    )
    assert ("later" if late_min > 0 else "earlier") in checked.said


def test_two_explanations_leave_what_both_allow():
    """A speed met before and after slack cannot tell early from late: the window is what both shifts leave."""
    middle = SLACK.starts + (SLACK.ends - SLACK.starts) / 2
    speed = abs(velocity_mps(STATION, middle + 35 * MINUTE))
    checked = check(middle, speed)
    assert checked.verdict == "shifted"
    assert checked.windows == () or checked.windows[0].usable_min < SLACK.usable_min


def test_a_current_that_no_time_explains_voids_the_windows():
    """A river in flood on top of the tide: no window is left, and the words say measure again."""
    at = SLACK.starts - 60 * MINUTE
    checked = check(at, 4.0)
    assert (checked.verdict, checked.windows) == ("void", ())
    assert "Measure again" in checked.said


def test_no_window_is_open_while_the_reading_is_over_the_limit():
    """The prediction's bounds may hold the reading; the reading still wins."""
    at = SLACK.starts + 2 * MINUTE
    checked = check(at, LIMIT + 0.03, spread=0.01)
    assert checked.verdict == "agrees"
    assert checked.windows[0].usable_min == 0
    assert "over the limit" in checked.said


@pytest.mark.parametrize(("low", "high", "named"), [(-0.1, 0.2, "measured_low_mps"), (0.3, 0.2, "measured_low_mps")])
def test_impossible_readings_are_refused(low, high, named):
    """Negative speed and crossed bounds."""
    with pytest.raises(OutOfRange) as refusal:
        check_windows(
            STATION,
            measured_low_mps=low,
            measured_high_mps=high,
            measured_at=SLACK.starts,
            limit_mps=LIMIT,
            hours=6,
            uncertainty_min=10,
        )
    assert refusal.value.argument == named
