"""The few operations that a decision may use, on plain numbers.

`decide` is written over these alone, besides comparisons and `+`, so that the same function runs on
floats here, on numpy arrays (`replay`) and on solver expressions (`proof`). Every operation compares
or counts; none computes with a reading. That is why the readers agree to the last bit.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol


@dataclass(frozen=True)
class Steps:
    """Whole points along one reading, as a staircase.

    `base` points at the harmless end; each threshold passed, in the direction of worse, changes the
    total to `totals[i]`. `inclusive[i]` says whether the step is taken at the threshold itself.
    Thresholds are signed so that worse is always larger (`sign` -1 for readings that worsen downward).
    """

    sign: int
    base: int
    thresholds: tuple[float, ...]
    inclusive: tuple[bool, ...]
    totals: tuple[int, ...]


class Algebra(Protocol):
    """What a reader supplies. Values are numbers, arrays or solver terms, alike throughout one run."""

    def all_of(self, parts: Sequence[Any]) -> Any: ...
    def any_of(self, parts: Sequence[Any]) -> Any: ...
    def no(self, part: Any) -> Any: ...
    def where(self, condition: Any, then: Any, otherwise: Any) -> Any: ...
    def steps(self, value: Any, steps: Steps) -> Any: ...
    def at_most(self, value: Any, cap: int) -> Any: ...


class OnNumbers:
    """The algebra on plain floats, integers and booleans."""

    def all_of(self, parts: Sequence[bool]) -> bool:
        return all(parts)

    def any_of(self, parts: Sequence[bool]) -> bool:
        return any(parts)

    def no(self, part: bool) -> bool:
        return not part

    def where(self, condition: bool, then: int, otherwise: int) -> int:
        return then if condition else otherwise

    def steps(self, value: float, steps: Steps) -> int:
        signed = steps.sign * value
        passed = bisect_left(steps.thresholds, signed)
        upto = bisect_right(steps.thresholds, signed)
        while passed < upto and steps.inclusive[passed]:
            passed += 1
        return steps.totals[passed - 1] if passed else steps.base

    def at_most(self, value: int, cap: int) -> int:
        return min(value, cap)


NUMBERS = OnNumbers()
