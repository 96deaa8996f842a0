"""Typed slack and maximum times against published tables, rules and worked examples, and the harmonic curve."""

from datetime import UTC, datetime, timedelta

import pytest

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.slack_table import TypedTurn, table_windows, velocity_between
from opsrisk.physics.tides import events
from opsrisk.physics.window import windows
from tests.physics.frozen import KNOT_MPS, selection

DAY = datetime(2026, 11, 25, tzinfo=UTC)


def clock(hours, minutes=0):
    return DAY + timedelta(hours=hours, minutes=minutes)


def turn(at, knots=0.0):
    return TypedTurn(at, knots * KNOT_MPS)


def test_the_navys_worked_strip():
    """Slack 0931, maximum 1159 at 0.66 kn: at 1100 factor 0.8 and half a knot (training manual 14220, page 7-22)."""
    slack, maximum = turn(clock(9, 31)), turn(clock(11, 59), 0.66)
    speed = velocity_between(slack, maximum, clock(11, 0)) / KNOT_MPS
    assert round(speed / 0.66, 1) == 0.8
    assert round(speed, 1) == 0.5


def test_the_fifty_ninety_rule():
    """A third of the way the current has half its strength, at two thirds nearly nine tenths."""
    slack, maximum = turn(clock(0)), turn(clock(3), 2.0)
    shares = [velocity_between(slack, maximum, clock(hour)) / maximum.velocity_mps for hour in (0, 1, 2, 3)]
    assert shares == pytest.approx([0, 0.5, 0.9, 1.0], abs=0.04)


# Table 4 of the printed current tables: minutes during which the speed is not over the limit. From memory, and
# exactly what a sine of twelve hours gives; nobody has compared it with the printed page yet.
@pytest.mark.parametrize(
    ("peak", "minutes"), [(1.0, (23, 46, 70, 94, 120)), (2.0, (11, 23, 35, 46, 58))], ids=["1 kn", "2 kn"]
)
def test_the_duration_of_slack_table(peak, minutes):
    """0.1 to 0.5 kn around slack, between maxima of 1 and 2 kn three hours away."""
    turns = [turn(clock(0), -peak), turn(clock(3)), turn(clock(6), peak)]
    for tenths, expected in zip((0.1, 0.2, 0.3, 0.4, 0.5), minutes, strict=True):
        window = table_windows(turns, limit_mps=tenths * KNOT_MPS)[0]
        assert (window.ends - window.starts) / timedelta(minutes=1) == pytest.approx(expected, abs=0.6)


def test_both_ends_are_trimmed_by_a_quarter_or_ten_minutes():
    """A long window loses a quarter at each end, a short one ten minutes, and a very short one everything."""
    long = table_windows([turn(clock(0), -1), turn(clock(3)), turn(clock(6), 1)], limit_mps=0.5 * KNOT_MPS)[0]
    short = table_windows([turn(clock(0), -4), turn(clock(3)), turn(clock(6), 4)], limit_mps=0.5 * KNOT_MPS)[0]
    tiny = table_windows([turn(clock(0), -8), turn(clock(3)), turn(clock(6), 8)], limit_mps=0.5 * KNOT_MPS)[0]
    assert (long.usable_starts - long.starts) / timedelta(minutes=1) == pytest.approx(30, abs=0.1)
    assert (short.usable_starts - short.starts) / timedelta(minutes=1) == 10
    assert short.usable_min == pytest.approx(8.7, abs=0.1)
    assert tiny.usable_min == 0


def test_a_weak_maximum_joins_two_slacks_into_one_window():
    """Where the stream between two slacks never reaches the limit there is one window, trimmed at its ends only."""
    turns = [turn(clock(0), -2), turn(clock(3)), turn(clock(5), 0.3), turn(clock(7)), turn(clock(10), -2)]
    found = table_windows(turns, limit_mps=0.5 * KNOT_MPS)
    assert len(found) == 1
    assert found[0].starts < clock(3) < clock(7) < found[0].ends


def test_nothing_is_known_beyond_what_was_typed():
    """A first or last slack ends its window there and then."""
    found = table_windows([turn(clock(0)), turn(clock(3), 2), turn(clock(6))], limit_mps=0.5 * KNOT_MPS)
    assert found[0].starts == clock(0)
    assert found[-1].ends == clock(6)


def test_trimmed_windows_lie_inside_the_harmonic_ones():
    """A month of printed times at four strong stations: at most one usable window in ten reaches outside the true one.

    The year at fifty stations is measured by docs/measurements/typed_table.py.
    """
    outside = total = 0
    for name in ("PUG1701", "NYH1924", "SFB1203", "FPI0901"):
        station = selection()[name]
        turns = [TypedTurn(e.at, e.velocity_mps) for e in events(station, start=DAY, hours=24 * 28)]
        true = windows(station, limit_mps=0.5 * KNOT_MPS, start=DAY, hours=24 * 28)
        for place in range(len(turns) - 2):
            three = turns[place : place + 3]
            if three[1].velocity_mps or not three[0].velocity_mps or not three[2].velocity_mps:
                continue
            typed = table_windows(three, limit_mps=0.5 * KNOT_MPS)[0]
            here = [one for one in true if one.starts <= three[1].at <= one.ends]
            if typed.usable_min > 0 and here:
                total += 1
                outside += not here[0].starts <= typed.usable_starts <= typed.usable_ends <= here[0].ends
    assert total > 200
    assert outside <= 0.1 * total


@pytest.mark.parametrize(
    "turns",
    [
        [turn(clock(0))],
        [turn(clock(0)), turn(clock(3))],
        [turn(clock(0), 1), turn(clock(3), -1)],
        [turn(clock(3)), turn(clock(0), 1)],
        [turn(clock(0)), turn(clock(0, 20), 1)],
        [turn(clock(0)), turn(clock(15), 1)],
        [turn(clock(0)), turn(clock(3), 40)],
        [TypedTurn(clock(0).replace(tzinfo=None), 0), TypedTurn(clock(3).replace(tzinfo=None), 1)],
    ],
    ids=["one", "two slacks", "two maxima", "backwards", "too near", "too far", "too fast", "no offset"],
)
def test_a_mistyped_table_is_refused(turns):
    """What cannot be a tide table is refused, not smoothed over."""
    with pytest.raises(OutOfRange) as refusal:
        table_windows(turns, limit_mps=0.3)
    assert refusal.value.argument == "turns"
