"""Who dives when: rested, in turn, all inside the window, and never fewer dives than possible."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise, product

import pytest

from opsrisk.assessment.rotation import rotate
from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.window import Window, dives_that_fit

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


def turns(minutes, **changes):
    usual = {"dive_min": 25, "between_min": 5, "divers": 2, "rest_min": 60}
    return rotate(opens=NOON, closes=NOON + timedelta(minutes=minutes), **(usual | changes))


@pytest.mark.parametrize("minutes", [20, 25, 60, 120, 300])
@pytest.mark.parametrize("divers", [1, 2, 3])
def test_nobody_overlaps_and_everybody_rests(minutes, divers):
    """One diver at a time, the pause between them kept, each at the surface for the rest, all out in time."""
    found = turns(minutes, divers=divers)
    for one, other in pairwise(found):
        assert other.enters - one.leaves >= timedelta(minutes=5)
    for who in range(1, divers + 1):
        for one, other in pairwise([turn for turn in found if turn.diver == who]):
            assert other.enters - one.leaves >= timedelta(minutes=60)
    assert all(turn.leaves <= NOON + timedelta(minutes=minutes) for turn in found)


def most_by_search(minutes, divers, dive, between, rest):
    """The most dives over every order of divers, each going as soon as may be."""
    best = 0
    for length in range(1, 6):
        for order in product(range(divers), repeat=length):
            ready, free = [0.0] * divers, 0.0
            for who in order:
                ends = max(ready[who], free) + dive
                ready[who], free = ends + rest, ends + between
            if ends <= minutes:
                best = length
                break
    return best


@pytest.mark.parametrize(
    ("minutes", "divers", "rest"), [(60, 1, 30), (120, 2, 60), (150, 2, 90), (150, 3, 90), (140, 2, 20)]
)
def test_no_order_fits_more(minutes, divers, rest):
    """A search over every order finds no more dives."""
    found = turns(minutes, divers=divers, rest_min=rest)
    assert min(len(found), 5) == most_by_search(minutes, divers, 25, 5, rest)


@pytest.mark.parametrize("usable", [10, 25, 70, 125])
def test_with_enough_divers_it_is_the_windows_own_count(usable):
    """Nobody waits for rest: as many dives as the window alone allows."""
    window = Window(NOON, NOON + timedelta(minutes=140), NOON, NOON + timedelta(minutes=usable), 10, 1.0)
    assert len(turns(usable, divers=20)) == dives_that_fit(window, dive_min=25, between_min=5)


def test_dives_for_each_are_limited():
    """Nobody goes more often than allowed."""
    assert len(turns(600, divers=2, rest_min=0, most_each=2)) == 4


@pytest.mark.parametrize(
    ("field", "wrong"), [("dive_min", 0), ("between_min", -1), ("divers", 0), ("rest_min", 2000), ("divers", 21)]
)
def test_refuses_what_makes_no_sense(field, wrong):
    """Each argument names itself."""
    with pytest.raises(OutOfRange) as caught:
        turns(60, **{field: wrong})
    assert caught.value.argument == field
