"""Arrays and floats give the same answer to every situation, and arrays give a hundred thousand of them at once."""

import time
from math import inf, nextafter

import numpy as np

from opsrisk.engine.algebra import NUMBERS, Steps
from opsrisk.engine.decide import decide, inputs_read
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.replay import ARRAYS, columns, replay
from opsrisk.engine.rounding import best_of, limits_on, marks
from opsrisk.protocols.shipped import baseline
from tests.engine import at_random

ROWS, SECONDS = 100_000, 2.0


def told(outcome):
    """Everything that an outcome says, in one order."""
    answers = (outcome.decision, outcome.rule, outcome.score, outcome.sum, outcome.vehicle_able)
    return [*answers, *outcome.points.values(), *outcome.fired.values()]


def differences(drawn):
    """Rows on which any part of the two answers differs."""
    rows = len(next(iter(drawn.values())))
    on_arrays = np.column_stack([np.broadcast_to(part, rows) for part in told(replay(baseline(), drawn))])
    names, values = list(drawn), zip(*(column.tolist() for column in drawn.values()), strict=True)
    on_floats = [told(decide(baseline(), dict(zip(names, row, strict=True)), NUMBERS)) for row in values]
    return np.flatnonzero((on_arrays != np.array(on_floats)).any(axis=1))


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


def beside(value):
    return (nextafter(value, -inf), value, nextafter(value, inf))


def boundary_situations():
    """Each number of the protocol, just below and just above, all else harmless; and two readings that meet."""
    quiet = {name: best_of(name) for name in inputs_read(baseline())}
    for name in quiet:
        item = INPUTS[name]
        if not isinstance(item, Quantity):
            yield from (quiet | {name: place} for place in range(len(item.values)))
            continue
        within = [v for mark in marks(baseline(), name) for v in beside(mark) if item.lowest <= v <= item.highest]
        yield from (quiet | {name: value} for value in within)
        for limit in limits_on(baseline(), name):
            if isinstance(limit.value, str) and limit.input == name:
                yield from (quiet | {name: v, limit.value: mark} for mark in within for v in beside(mark))


def test_arrays_equal_floats_on_every_boundary():
    """In every configuration, at each threshold and at its neighbouring floats."""
    cases = [
        case | {"task.gain": gain, "vehicle.owned": owned, "dive.breathing": breathing}
        for case in boundary_situations()
        for gain in (0, 1)
        for owned in (0, 1)
        for breathing in (0, 1)
    ]

    assert len(cases) > 5_000
    assert not differences(columns(baseline(), cases)).size


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
