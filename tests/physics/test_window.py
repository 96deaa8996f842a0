"""Windows at real stations: exact at their edges, smaller by their own uncertainty, and useful for planning."""

from datetime import UTC, datetime, timedelta

import pytest

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.tides import velocity_mps
from opsrisk.physics.window import (
    Window,
    current_now,
    dives_that_fit,
    recall_at,
    recheck_times,
    windows,
)
from tests.physics.frozen import KNOT_MPS, selection

STATIONS = selection()
START = datetime(2026, 11, 25, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def slack(usable_min):
    noon = datetime(2026, 11, 25, 12, tzinfo=UTC)
    ends = noon + usable_min * MINUTE
    return Window(noon - 10 * MINUTE, ends + 10 * MINUTE, noon, ends, 10, 1.0)


@pytest.mark.parametrize("name", sorted(STATIONS))
@pytest.mark.parametrize("knots", [0.3, 0.5, 1.0])
def test_a_window_is_where_the_speed_is_under_the_limit(name, knots):
    """Minute by minute over three days: under the limit inside every window and over it outside."""
    station, limit = STATIONS[name], knots * KNOT_MPS
    found = windows(station, limit_mps=limit, start=START, hours=72)
    for minute in range(0, 72 * 60, 3):
        at = START + minute * MINUTE
        inside = any(one.starts <= at <= one.ends for one in found)
        speed = abs(velocity_mps(station, at))
        if abs(speed - limit) > 0.001:
            assert inside == (speed <= limit), at


@pytest.mark.parametrize("name", sorted(STATIONS))
def test_what_may_be_used_ends_early_by_the_uncertainty(name):
    """Ten minutes off both ends at least, and a limit lowered by the forecast's error inside them."""
    station, limit = STATIONS[name], 0.5 * KNOT_MPS
    found = windows(station, limit_mps=limit, start=START, hours=48)
    assert found
    for one in found:
        assert one.usable_starts - one.starts >= 10 * MINUTE
        if one.usable_min > 0:
            assert one.ends - one.usable_ends >= 10 * MINUTE
        assert one.usable_starts <= one.usable_ends
        assert one.peak_mps > limit


def test_more_uncertainty_never_lengthens_a_window():
    """An agency that trusts its forecast less gets less to use."""
    usable = [
        sum(
            w.usable_min
            for w in windows(STATIONS["SFB1203"], limit_mps=0.4, start=START, hours=48, uncertainty_min=doubt)
        )
        for doubt in (0, 5, 10, 20, 30)
    ]
    assert usable == sorted(usable, reverse=True)
    assert usable[0] > usable[-1]


def test_a_window_open_at_the_start_is_given_whole():
    """Arriving in the middle of slack one sees when it began."""
    station = STATIONS["SFB1203"]
    whole = windows(station, limit_mps=0.3, start=START, hours=24)[1]
    middle = whole.starts + (whole.ends - whole.starts) / 2
    seen = windows(station, limit_mps=0.3, start=middle, hours=1)[0]
    assert abs(seen.starts - whole.starts) < timedelta(seconds=2)
    assert abs(seen.ends - whole.ends) < timedelta(seconds=2)


def test_a_limit_that_is_never_reached_leaves_an_open_end():
    """Where the stream never gets there the window says that its end was not found."""
    found = windows(STATIONS["cb0102"], limit_mps=3.0, start=START, hours=12)
    assert len(found) == 1
    assert found[0].open_ended
    assert found[0].usable_ends == found[0].ends


@pytest.mark.parametrize("name", sorted(STATIONS))
def test_the_current_now_lies_within_its_bounds(name):
    """The speed is between its bounds, and the bounds hold the speeds ten minutes before and after."""
    station = STATIONS[name]
    for hours in range(0, 26, 2):
        at = START + timedelta(hours=hours)
        now = current_now(station, at)
        assert now.low_mps <= now.speed_mps <= now.high_mps
        for other in (at - 10 * MINUTE, at + 10 * MINUTE):
            assert now.low_mps <= abs(velocity_mps(station, other)) <= now.high_mps
        expected = station.flood_direction_deg if velocity_mps(station, at) >= 0 else station.ebb_direction_deg
        assert now.direction_deg == expected


def test_near_slack_the_current_may_be_nothing():
    """Within the forecast's uncertainty of a slack the lower bound is zero."""
    assert current_now(STATIONS["PUG1527"], datetime(2026, 11, 25, 7, 20, tzinfo=UTC)).low_mps == 0


@pytest.mark.parametrize(
    ("usable", "dive", "between", "fits"),
    [(70, 30, 10, 2), (69, 30, 10, 1), (29, 30, 10, 0), (0, 30, 0, 0), (90, 30, 0, 3)],
)
def test_dives_fit_one_after_another(usable, dive, between, fits):
    """Each dive ends inside the window; the pause after the last one need not."""
    assert dives_that_fit(slack(usable), dive_min=dive, between_min=between) == fits


def test_a_late_team_fits_fewer_dives():
    """What passed before the team is ready is gone."""
    ready = slack(70).usable_starts + 45 * MINUTE
    assert dives_that_fit(slack(70), dive_min=30, between_min=10, ready_at=ready) == 0


def test_recall_leaves_time_for_the_way_up():
    """Divers are called so that they are out when the usable window ends."""
    assert recall_at(slack(40), way_up_min=6) == slack(40).usable_ends - 6 * MINUTE


def test_the_current_is_measured_again_at_the_start_on_a_timer_and_at_the_end():
    """Every fifteen minutes from the usable start, and at the usable end whatever the timer says."""
    times = recheck_times(slack(40), every_min=15)
    offsets = [(at - slack(40).usable_starts) / MINUTE for at in times]
    assert offsets == [0, 15, 30, 40]
    assert recheck_times(slack(0), every_min=15) == ()


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"limit_mps": 0}, "limit_mps"),
        ({"hours": -1}, "hours"),
        ({"hours": 800}, "hours"),
        ({"uncertainty_min": -5}, "uncertainty_min"),
        ({"start": START.replace(tzinfo=None)}, "start"),
    ],
)
def test_impossible_questions_are_refused_by_name(change, named):
    """The argument, what was given, what is accepted."""
    with pytest.raises(OutOfRange) as refusal:
        windows(STATIONS["PUG1527"], **{"limit_mps": 0.3, "start": START, "hours": 24, **change})
    assert refusal.value.argument == named
