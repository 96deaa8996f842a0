"""The same decision over arrays: a hundred thousand past operations while the chief waits.

`decide` runs here unchanged; only its few operations are numpy's. They compare and count, they never
compute with a reading, so every answer equals the float reader's to the last bit.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from operator import itemgetter
from typing import Any

import numpy as np

from opsrisk.engine.algebra import Steps
from opsrisk.engine.decide import Outcome, decide, inputs_read
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Value

Columns = Mapping[str, np.ndarray[Any, Any]]


class OnArrays:
    """The algebra on arrays of equal length; a plain truth or number stands for all rows."""

    def all_of(self, parts: Sequence[Any]) -> Any:
        together: Any = np.True_
        for part in parts:
            together = np.logical_and(together, part)
        return together

    def any_of(self, parts: Sequence[Any]) -> Any:
        either: Any = np.False_
        for part in parts:
            either = np.logical_or(either, part)
        return either

    def no(self, part: Any) -> Any:
        return np.logical_not(part)

    def where(self, condition: Any, then: Any, otherwise: Any) -> Any:
        return np.where(condition, then, otherwise)

    def steps(self, value: Any, steps: Steps) -> Any:
        signed = steps.sign * np.asarray(value)
        thresholds = np.asarray(steps.thresholds, dtype=np.float64)
        below = np.searchsorted(thresholds, signed, side="left")
        upto = np.searchsorted(thresholds, signed, side="right")
        passed = np.where(upto > below, np.asarray(_taken_at(steps))[below], below)
        return np.asarray((steps.base, *steps.totals))[passed]

    def at_most(self, value: Any, cap: int) -> Any:
        return np.minimum(value, cap)


ARRAYS = OnArrays()


def _taken_at(steps: Steps) -> list[int]:
    """For a value that stands exactly on threshold i: how many steps it has taken (those at it that include it)."""
    taken = []
    for place, threshold in enumerate(steps.thresholds):
        upto = place
        while upto < len(steps.thresholds) and steps.thresholds[upto] == threshold and steps.inclusive[upto]:
            upto += 1
        taken.append(upto)
    return [*taken, len(steps.thresholds)]


def columns(protocol: Protocol, situations: Iterable[Mapping[str, Value]]) -> dict[str, np.ndarray[Any, Any]]:
    """One array for each input that `protocol` reads, from situations that give a value for each of them."""
    names = inputs_read(protocol)
    # Places in the order of a category are small whole numbers, exact as floats: one table serves all.
    values = np.fromiter(chain.from_iterable(map(itemgetter(*names), situations)), dtype=np.float64)
    return dict(zip(names, values.reshape(-1, len(names)).T.copy(), strict=True))


def replay(protocol: Protocol, facts: Columns) -> Outcome:
    """The outcome of `protocol` on every row of `facts`: each part of it an array, or one truth for all rows."""
    return decide(protocol, facts, ARRAYS)
