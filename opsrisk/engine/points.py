"""Points along a reading: straight lines between breakpoints, rounded up to whole points.

Rounding up, once, when the protocol is read turns each line into a staircase whose thresholds are
exact. So a score is a count of thresholds passed: it adds up on paper, it is the same in every
reader, and a margin is a threshold, not a search.
"""

import itertools
from collections.abc import Sequence
from fractions import Fraction

from opsrisk.engine.algebra import Steps


def staircase(values: Sequence[Fraction], totals: Sequence[int], sign: int, *, ramp: bool) -> Steps:
    """The steps through (values, totals), values ascending in the direction of worse (already signed).

    With `ramp` points rise in a straight line between breakpoints, rounded up; without it (categories)
    each value has its own total. Beyond the ends the end totals hold. The values are exact, so that a
    threshold is the very float that its printed number is read as.

    >>> staircase([Fraction(0), Fraction(1)], [0, 2], 1, ramp=True).thresholds
    (0.0, 0.5)
    """
    steps: list[tuple[Fraction, bool, int]] = []
    pairs = list(zip(values, totals, strict=True))
    for (start, low), (end, high) in itertools.pairwise(pairs):
        if not ramp:
            steps.append((end, True, high))
            continue
        rising = high > low
        # A rising line is rounded up just beyond the crossing of a whole point, a falling one at it.
        crossings = range(low, high) if rising else range(low - 1, high - 1, -1)
        for whole in crossings:
            crossing = start + (end - start) * Fraction(whole - low, high - low)
            steps.append((crossing, not rising, whole + 1 if rising else whole))
    return Steps(
        sign=sign,
        base=totals[0],
        thresholds=tuple(float(threshold) for threshold, _, _ in steps),
        inclusive=tuple(inclusive for _, inclusive, _ in steps),
        totals=tuple(total for _, _, total in steps),
    )
