"""Windows below a dam: rises count from their earliest arrival, falls from their latest."""

from datetime import UTC, datetime, timedelta

import pytest

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.river import Release, river_windows, speed_after_release

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def after(minutes):
    return NOON + minutes * MINUTE


def found(releases, measured=0.3, limit=0.5, until=600):
    return river_windows(
        measured_mps=measured, measured_at=NOON, releases=releases, limit_mps=limit, until=after(until)
    )


def test_an_announced_rise_ends_the_window_at_its_earliest_arrival():
    """Released at 13:00, forty minutes away: expected 13:40, out of the water by 13:30."""
    window = found([Release(after(60), 1.2, 40)])[0]
    assert window.ends == after(100)
    assert window.usable_ends == after(90)
    assert window.peak_mps == 1.2
    assert not window.open_ended


def test_a_long_way_is_less_certain():
    """A quarter of the travel time where that is more than ten minutes."""
    window = found([Release(after(0), 1.2, 120)])[0]
    assert window.ends == after(120)
    assert window.usable_ends == after(90)


def test_a_fall_opens_the_window_at_its_latest_arrival():
    """Too fast now, less released at 13:00: usable when the last of the fast water is surely past."""
    window = found([Release(after(60), 0.3, 40)], measured=1.2)[0]
    assert window.starts == after(100)
    assert window.usable_starts == after(110)
    assert window.open_ended


def test_a_short_lull_can_be_eaten_whole():
    """A fall and a rise whose doubts overlap leave nothing to use, and say so."""
    window = found([Release(after(60), 0.3, 40), Release(after(75), 1.2, 40)], measured=1.2)[0]
    assert (window.starts, window.ends) == (after(100), after(115))
    assert window.usable_min == 0


def test_water_that_stays_slow_leaves_an_open_end():
    """Nothing announced: the window lasts as long as one asks, and says that no end was found."""
    window = found([])[0]
    assert (window.usable_starts, window.usable_ends, window.open_ended) == (NOON, after(600), True)


def test_water_that_is_too_fast_leaves_no_window():
    """No window now and none announced."""
    assert found([], measured=0.9) == ()


def test_speed_grows_with_the_discharge_and_falls_only_when_measured():
    """Continuity bounds a rise; a fall is not believed on paper."""
    assert speed_after_release(speed_mps=0.5, discharge_before=20, discharge_after=50) == pytest.approx(1.25)
    assert speed_after_release(speed_mps=0.5, discharge_before=50, discharge_after=20) == 0.5


def test_no_channel_speeds_up_more_than_the_bound():
    """Uniform flow after Manning in rectangles and trapezes: the true rise in speed stays under the bound."""
    for width, bank in ((5, 0), (20, 0), (10, 2), (50, 3)):
        for depth in (0.5, 1, 3):
            for deeper in (1.05, 1.5, 3):
                flows = []
                for d in (depth, depth * deeper):
                    area = (width + bank * d) * d
                    rim = width + 2 * d * (1 + bank**2) ** 0.5
                    speed = (area / rim) ** (2 / 3)
                    flows.append((speed, speed * area))
                (slow, less), (fast, more) = flows
                assert fast <= speed_after_release(speed_mps=slow, discharge_before=less, discharge_after=more)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: found([], measured=-1), "measured_mps"),
        (lambda: found([], until=-5), "until"),
        (lambda: found([Release(after(60), 1, 40), Release(after(10), 1, 40)]), "releases"),
        (lambda: found([Release(after(60), 99, 40)]), "releases"),
        (lambda: speed_after_release(speed_mps=1, discharge_before=0, discharge_after=9), "discharge_before"),
    ],
)
def test_impossible_schedules_are_refused_by_name(call, named):
    """The argument, what was given, what is accepted."""
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert refusal.value.argument == named
