"""Against the decision guide of Tipton and Golden 2011, and at the edges of what is not known."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.submersion import rescue_window, window_minutes


def known(minutes, water_c):
    return rescue_window(
        minutes_under_low=minutes, minutes_under_high=minutes, water_c_low=water_c, water_c_high=water_c
    )


@pytest.mark.parametrize(
    ("minutes", "water_c", "answer"),
    [(30, 7, "open"), (31, 7, "closed"), (31, 6, "open"), (90, 6, "open"), (91, 6, "closed"), (31, 6.1, "closed")],
)
def test_the_guides_own_edges(minutes, water_c, answer):
    """30 min above 6 C, 90 min at or below: the last minute is still open, the next one is not."""
    window = known(minutes, water_c)
    assert window.answer == answer
    assert window.settle_by == ()


def test_the_longer_window_carries_its_dissent():
    """Whoever relies on 90 minutes reads who holds it too generous; the shorter window says nothing."""
    assert "overly permissive" in known(40, 4).note
    assert known(10, 12).note == ""


def test_unknown_water_leaves_a_range_and_names_the_thermometer():
    """After 45 minutes the answer hangs on the temperature alone."""
    window = rescue_window(minutes_under_low=45, minutes_under_high=45, water_c_low=None, water_c_high=None)
    assert (window.answer, window.best, window.worst) == ("not settled", True, False)
    assert window.settle_by == ("water_c",)
    assert (window.closes_in_min, window.closes_in_best_min) == (-15, 45)


def test_an_unknown_time_leaves_a_range_and_names_the_witness():
    """In warm water the answer hangs on when the person went under."""
    window = rescue_window(minutes_under_low=None, minutes_under_high=None, water_c_low=15, water_c_high=18)
    assert window.answer == "not settled"
    assert window.settle_by == ("minutes_under",)


def test_with_nothing_known_the_witness_is_asked_first():
    """Only the time can settle it then: no water temperature makes zero or thirty days doubtful."""
    window = rescue_window(minutes_under_low=None, minutes_under_high=None, water_c_low=None, water_c_high=None)
    assert window.settle_by == ("minutes_under",)


def test_a_doubtful_time_in_doubtful_water_asks_for_both():
    """Forty to a hundred minutes in water that may be cold: either reading can settle it."""
    window = rescue_window(minutes_under_low=40, minutes_under_high=100, water_c_low=4, water_c_high=9)
    assert window.settle_by == ("minutes_under", "water_c")


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"minutes_under_low": -1}, "minutes_under_low"),
        ({"minutes_under_low": 9}, "minutes_under_low"),
        ({"water_c_high": 60}, "water_c_high"),
        ({"water_c_low": 12}, "water_c_low"),
    ],
)
def test_impossible_input_is_refused_by_name(change, named):
    """Negative times, crossed bounds and boiling water."""
    good = {"minutes_under_low": 5, "minutes_under_high": 8, "water_c_low": 8, "water_c_high": 10}
    with pytest.raises(OutOfRange) as refusal:
        rescue_window(**{**good, **change})
    assert refusal.value.argument == named


times = st.lists(st.floats(0, 200), min_size=2, max_size=2).map(sorted)
waters = st.lists(st.floats(-2, 35), min_size=2, max_size=2).map(sorted)


@given(times, waters, st.floats(0, 1), st.floats(0, 1))
def test_the_range_holds_every_answer_inside_it(minutes, water, share_of_time, share_of_water):
    """Whatever the truth inside the bounds, it lies between the sober and the hopeful answer."""
    window = rescue_window(
        minutes_under_low=minutes[0], minutes_under_high=minutes[1], water_c_low=water[0], water_c_high=water[1]
    )
    true_minutes = minutes[0] + share_of_time * (minutes[1] - minutes[0])
    true_water = water[0] + share_of_water * (water[1] - water[0])
    is_open = true_minutes <= window_minutes(true_water)
    assert window.worst <= is_open <= window.best
    left = window_minutes(true_water) - true_minutes
    assert window.closes_in_min - 1e-9 <= left <= window.closes_in_best_min + 1e-9
