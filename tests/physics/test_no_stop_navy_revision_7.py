"""Against the worked examples and single figures read for Revision 7, and against the tables' own order.

The examples of Revision 4 that its newer tables contradict are left out on purpose.
"""

from datetime import date

import pytest

from opsrisk.physics.no_stop import (
    DIGEST,
    Adoption,
    BeyondTheTable,
    PastDive,
    TablesNotAdopted,
    after_interval,
    arrival_group,
    equivalent_depth_fsw,
    group_after,
    no_stop,
    problems,
    sea_level_ratio,
    wait_before_ascent_min,
)
from opsrisk.physics.ranges import OutOfRange
from opsrisk.reference import no_stop as tables

SIGNED = Adoption("Rowan Example", date(2026, 11, 25), DIGEST)


def left(depth, *previous, **more):
    return no_stop(depth_fsw=depth, previous=previous, adoption=SIGNED, **more).left_min


def test_the_tables_are_off_until_somebody_signed_for_them():
    """No name, no answer; and a name that stands for other tables is no name."""
    with pytest.raises(TablesNotAdopted, match="named person"):
        no_stop(depth_fsw=60, adoption=None)
    with pytest.raises(TablesNotAdopted, match="compared other tables"):
        no_stop(depth_fsw=60, adoption=Adoption("Rowan Example", date(2026, 11, 25), "0" * 64))
    with pytest.raises(TablesNotAdopted):
        wait_before_ascent_min(group="D", altitude_ft=8000, adoption=None)


def test_every_answer_says_where_the_tables_come_from():
    """The caveat stands beside every answer."""
    assert "printed pages were not seen" in no_stop(depth_fsw=60, adoption=SIGNED).caveat


@pytest.mark.parametrize(
    ("depth", "minutes"),
    [
        (30, 371),
        (40, 163),
        (50, 92),
        (60, 63),
        (70, 48),
        (80, 39),
        (90, 33),
        (100, 25),
        (110, 20),
        (120, 15),
        (130, 12),
    ],
)
def test_limits_of_table_9_7(depth, minutes):
    """Eleven limits as quoted in three transcriptions."""
    assert left(depth) == minutes


def test_depths_round_up_to_the_next_line():
    """61 fsw is read at 70; shallower than the first line is read there, without a limit."""
    assert left(61) == 48
    assert left(12) is None


def test_a_group_from_depth_and_time():
    """60 fsw for 45 minutes is H; one more minute is I."""
    assert group_after(depth_fsw=60, bottom_min=45) == "H"
    assert group_after(depth_fsw=60, bottom_min=45.5) == "I"


def test_the_repetitive_dive_worked_through():
    """H after 1:50 is F; at 50 fsw 42 minutes are used up and 50 are left; a dive of 30 then ends in K."""
    first = PastDive(60, 45, 110)
    answer = no_stop(depth_fsw=50, previous=[first], adoption=SIGNED)
    assert (answer.group_before, answer.residual_min, answer.limit_min, answer.left_min) == ("F", 42, 92, 50)
    assert group_after(depth_fsw=50, bottom_min=30, group_before="F") == "K"


@pytest.mark.parametrize(
    ("group", "minutes", "becomes"),
    [
        ("G", 52, "G"),
        ("G", 53, "F"),
        ("A", 140, "A"),
        ("A", 141, None),
        ("Z", 950, "A"),
        ("Z", 951, None),
        ("M", 386, "F"),
    ],
)
def test_surface_intervals_of_table_9_8(group, minutes, becomes):
    """Edges of single cells, and the far ends."""
    assert after_interval(group, minutes) == becomes


def test_where_the_table_cannot_tell_the_group_stays():
    """Surfaced in N, half an hour later a dive to 20 fsw: N, whatever the time (manual, 9-9.1)."""
    assert after_interval("N", 30) == "N"
    assert group_after(depth_fsw=20, bottom_min=200, group_before="N") == "N"
    assert no_stop(depth_fsw=20, previous=[PastDive(30, 260, 30)], adoption=SIGNED).left_min is None


def test_the_mark_at_25_fsw_sends_to_the_row_of_30():
    """Groups O and Z at 25 fsw take 308 and 372 minutes of residual time."""
    assert no_stop(depth_fsw=25, previous=[PastDive(30, 307, 10)], adoption=SIGNED).residual_min == 308
    assert no_stop(depth_fsw=25, previous=[PastDive(30, 371, 10)], adoption=SIGNED).residual_min == 372


@pytest.mark.parametrize(("group", "minutes"), [("D", 105), ("G", 553), ("J", 853), ("Z", 1261), ("C", 0)])
def test_waiting_before_a_flight(group, minutes):
    """8,000 ft: D 1:45, G 9:13, J 14:13, Z 21:01."""
    assert wait_before_ascent_min(group=group, altitude_ft=8000, adoption=SIGNED) == minutes


def test_a_mountain_lake():
    """At 6,000 ft for 90 minutes, 100 fsw planned: E became D, the depth counts as 130, 11 minutes are used up."""
    answer = no_stop(depth_fsw=100, altitude_ft=6000, at_altitude_min=90, adoption=SIGNED)
    assert arrival_group(6000) == "E"
    assert (answer.group_before, answer.depth_row_fsw, answer.residual_min) == ("D", 130, 11)
    assert sea_level_ratio(6000) == pytest.approx(1.248, abs=0.001)


def test_equivalent_depth_is_the_ratio_of_pressures():
    """60 fsw where the air weighs 843 of 1013 mb is 72.1 fsw: found at the altitude with that pressure."""
    low, high = 0.0, 10_000.0
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (middle, high) if sea_level_ratio(middle) < 1013 / 843 else (low, middle)
    assert equivalent_depth_fsw(depth_fsw=60, altitude_ft=low) == pytest.approx(72.1, abs=0.05)


def test_small_altitudes_count_only_for_deep_dives():
    """Nothing to 300 ft; from there to 1,000 ft only deeper than 145 fsw."""
    assert equivalent_depth_fsw(depth_fsw=150, altitude_ft=300) == 150
    assert equivalent_depth_fsw(depth_fsw=100, altitude_ft=900) == 100
    assert equivalent_depth_fsw(depth_fsw=150, altitude_ft=900) > 150


@pytest.mark.parametrize(
    "call",
    [
        lambda: left(191),
        lambda: left(180, altitude_ft=5000),
        lambda: left(60, PastDive(60, 64, 60)),
        lambda: left(100, PastDive(100, 25, 15)),
        lambda: group_after(depth_fsw=50, bottom_min=51, group_before="F"),
    ],
    ids=["too deep", "too deep at altitude", "earlier dive with stops", "nothing left", "past the limit"],
)
def test_beyond_the_table_there_is_no_answer(call):
    """Deeper, longer or sooner than the tables know: refused, never guessed."""
    with pytest.raises(OutOfRange):
        call()


def test_nothing_left_is_said_as_beyond_the_table():
    """A diver whose residual time fills the limit is told that an interval is missing."""
    with pytest.raises(BeyondTheTable, match="longer interval"):
        left(100, PastDive(100, 25, 15))


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: after_interval("G", 9), "interval_min"),
        (lambda: after_interval("Q", 90), "group"),
        (lambda: left(60, altitude_ft=11_000), "altitude_ft"),
        (lambda: left(60, PastDive(60, 20, 60), altitude_ft=5000, at_altitude_min=60), "at_altitude_min"),
        (lambda: wait_before_ascent_min(group="?", altitude_ft=8000, adoption=SIGNED), "group"),
    ],
)
def test_impossible_dives_are_refused_by_name(call, named):
    """Under ten minutes at the surface it is the same dive; unknown groups and altitudes have no row."""
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert refusal.value.argument == named


def test_the_tables_are_in_order():
    """Times rise along each row and limits never rise with depth; each row's last group ends at the limit."""
    assert problems() == []
    for row in tables.LIMITS.rows:
        last = [cell for cell in row[2:] if cell != "-"][-1]
        assert row[1] in ("unl", last)


def test_residual_time_is_the_groups_own_time_and_little_more():
    """Two tables against each other: residual time lies from the group's longest time to three minutes over it.

    Where a group has no column at that depth, or the transcriptions disagree (160 to 190 fsw, B), nothing is compared.
    """
    compared = 0
    for limits, residuals in zip(tables.LIMITS.rows, tables.RESIDUALS.rows, strict=True):
        depth = int(limits[0])
        for group in tables.GROUPS:
            longest = limits[2 + tables.GROUPS.index(group)]
            residual = residuals[1 + tables.GROUPS.index(group)]
            if longest.isdigit() and residual.isdigit() and longest != limits[1] and depth < 160:
                compared += 1
                assert 0 <= int(residual) - int(longest) <= 3, (depth, group)
    assert compared > 150


def test_intervals_of_neighbouring_groups_agree():
    """A diver waits as long as the next group plus the time to become it: no sum is off by more than two minutes."""
    upper = {row[0]: dict(zip(reversed(tables.GROUPS), row[1:], strict=True)) for row in tables.INTERVALS.rows}
    for better, worse in zip(tables.GROUPS, tables.GROUPS[1:], strict=False):
        for target in tables.GROUPS[: tables.GROUPS.index(better) + 1]:
            step = int(upper[worse][target]) - int(upper[better][target])
            assert abs(step - int(upper[worse][worse])) <= 2, (worse, better, target)
