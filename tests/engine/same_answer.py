"""Where arrays and floats give different answers: on rows that are handed in, and on every boundary of the baseline."""

from collections.abc import Iterator
from math import inf, nextafter
from typing import Any

import numpy as np

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import Outcome, decide, inputs_read
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.replay import columns, replay
from opsrisk.engine.rounding import best_of, limits_on, marks
from opsrisk.protocols.shipped import baseline
from tests.engine.at_random import Columns


def told(outcome: Outcome) -> list[Any]:
    """Everything that an outcome says, in one order."""
    answers = (outcome.decision, outcome.rule, outcome.score, outcome.sum, outcome.vehicle_able)
    return [*answers, *outcome.points.values(), *outcome.fired.values()]


def differences(drawn: Columns) -> Any:
    """Rows on which any part of the two answers differs."""
    rows = len(next(iter(drawn.values())))
    on_arrays = np.column_stack([np.broadcast_to(part, rows) for part in told(replay(baseline(), drawn))])
    names, values = list(drawn), zip(*(column.tolist() for column in drawn.values()), strict=True)
    on_floats = [told(decide(baseline(), dict(zip(names, row, strict=True)), NUMBERS)) for row in values]
    return np.flatnonzero((on_arrays != np.array(on_floats)).any(axis=1))


def beside(value: float) -> tuple[float, float, float]:
    return (nextafter(value, -inf), value, nextafter(value, inf))


def boundary_situations() -> Iterator[dict[str, Any]]:
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


def boundary_columns() -> Columns:
    """Those in every configuration."""
    cases = [
        case | {"task.gain": gain, "vehicle.owned": owned, "dive.breathing": breathing}
        for case in boundary_situations()
        for gain in (0, 1)
        for owned in (0, 1)
        for breathing in (0, 1)
    ]
    return columns(baseline(), cases)
