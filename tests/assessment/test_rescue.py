"""Is this still a rescue: time under water and water temperature, with what is not sure about both."""

import pytest

from opsrisk.assessment.computed import facts_of
from opsrisk.assessment.rescue import NOBODY, RESCUE
from opsrisk.protocols.shipped import baseline
from tests.situations import situation


def gain(under_water="10 min", water="15 C", **given):
    made = situation("drowning", under_water=under_water, **{"readings.water_temperature": water} | given)
    return facts_of(made, baseline())["task.gain"]


def test_rescue_comes_before_nobody_in_the_order_of_the_input():
    """The two values that every test below compares with."""
    assert (RESCUE, NOBODY) == (0, 1)


@pytest.mark.parametrize(
    ("under_water", "water", "value"),
    [
        ("30 min", "7 C", RESCUE), ("30.1 min", "7 C", NOBODY), ("31 min", "6.1 C", NOBODY),
        ("90 min", "6 C", RESCUE), ("90.1 min", "6 C", NOBODY), ("90 min", "42.8 F", RESCUE), ("90 min", "42.9 F", NOBODY),
        ("0 min", "20 C", RESCUE), ("89 min", "-1 C", RESCUE),
    ],
)  # fmt: skip
def test_the_window_is_open_up_to_its_last_minute(under_water, water, value):
    """Thirty minutes over 6 C, ninety at or under 6 C (43 F is over)."""
    assert gain(under_water, water).value == value


@pytest.mark.parametrize("kind", ["recovery", "evidence", "object", "inspection", "training"])
def test_nothing_else_is_a_rescue(kind):
    """However short somebody has been under: the kind of task says whether anybody can be saved."""
    assert gain(**{"task.kind": kind}).value == NOBODY


def test_nobody_under_water_is_nobody_to_save():
    """A rescue called without anybody under water."""
    assert gain(under_water=None).value == NOBODY


def test_bounds_of_the_temperature_are_bounds_of_the_window():
    """60 minutes under at 5.8 C (measured, half a degree): as taken still a rescue, perhaps not."""
    found = gain("60 min", "5.8 C")

    assert (found.value, {found.best, found.worst}) == (RESCUE, {RESCUE, NOBODY})
    assert found.of == ("readings.water_temperature",)
    assert not found.open


def test_surely_cold_or_surely_warm_water_leaves_no_doubt():
    """Far from 6 C the window is as it is."""
    assert gain("60 min", "2 C").best == gain("60 min", "2 C").worst == RESCUE
    assert gain("60 min", "12 C").best == gain("60 min", "12 C").worst == NOBODY


def test_not_knowing_the_water_keeps_no_rescue_open():
    """After 31 minutes only water that is known to be cold does."""
    assert gain("31 min", "unknown").value == NOBODY
    assert gain("30 min", "unknown").value == RESCUE
    assert gain("31 min", "4 C, 241 min ago").value == NOBODY


@pytest.mark.parametrize(
    "unknown",
    [{"under_water": "unknown"}, {"task.kind": "unknown"}, {"task.kind": "unknown", "under_water": "unknown"}],
)
def test_not_knowing_whether_it_is_a_rescue_considers_both(unknown):
    """Nobody says since when, or what kind of operation it is."""
    found = gain(**unknown)

    assert found.state == "unknown"
    assert found.open == (RESCUE, NOBODY)


def test_not_a_rescue_needs_no_time():
    """A recovery without a time is a recovery."""
    assert gain(under_water="unknown", **{"task.kind": "recovery"}).open == ()
    assert gain(under_water=None, **{"task.kind": "unknown"}).open == ()
