"""Arrays and floats give the same answer to every situation, and arrays give a hundred thousand of them at once."""

import time
from math import nextafter

import numpy as np

from opsrisk.engine.algebra import NUMBERS, Steps
from opsrisk.engine.replay import ARRAYS, columns, replay
from opsrisk.protocols.shipped import baseline
from tests.engine import at_random
from tests.engine.same_answer import boundary_columns, differences

ROWS, SECONDS = 100_000, 2.0


def test_arrays_equal_floats_on_random_situations():
    """On 100,000 situations, most of them around the protocol's own numbers, every part of the answer is the same."""
    shares = (0.0, 0.9, 0.97, 0.985)
    for seed, share in enumerate(shares):
        drawn = at_random.columns(baseline(), ROWS // len(shares), seed=seed, harmless=share)
        assert not differences(drawn).size


def test_the_random_situations_reach_every_answer():
    """The comparison above would say little if nearly all of them were held."""
    drawn = at_random.columns(baseline(), ROWS // 4, seed=2, harmless=0.97)
    assert set(np.unique(replay(baseline(), drawn).decision)) == {0, 1, 2, 3, 4}


def test_arrays_equal_floats_on_every_boundary():
    """In every configuration, at each threshold and at its neighbouring floats."""
    drawn = boundary_columns()

    assert len(drawn["readings.depth"]) > 5_000
    assert not differences(drawn).size


def test_steps_at_one_threshold_are_taken_alike():
    """Two steps at one number, one at it and one beyond it: floats and arrays agree in any order of the two."""
    values = np.array([0.0, nextafter(1.0, 0.0), 1.0, nextafter(1.0, 2.0), 3.0])
    for inclusive in ((True, False), (False, True), (True, True), (False, False)):
        stairs = Steps(1, 0, (1.0, 1.0), inclusive, (5, 9))
        assert ARRAYS.steps(values, stairs).tolist() == [NUMBERS.steps(value, stairs) for value in values]


def test_a_hundred_thousand_past_operations_in_two_seconds():
    """From rows as they are stored to decisions, on one processor."""
    drawn = at_random.columns(baseline(), ROWS, seed=7, harmless=0.95)
    names, values = list(drawn), zip(*(column.tolist() for column in drawn.values()), strict=True)
    rows = [dict(zip(names, row, strict=True)) for row in values]

    started = time.process_time()
    outcome = replay(baseline(), columns(baseline(), rows))

    assert time.process_time() - started < SECONDS
    assert outcome.decision.shape == (ROWS,)
