"""The refusal that every computation here gives to a number it has no business with."""

from math import isfinite


class OutOfRange(ValueError):
    """An argument lies outside the range in which the computation was checked.

    Carries what a page needs to say it plainly: `argument`, `given` and `accepted`.

    >>> str(OutOfRange("depth_m", -3, "0 to 100 m"))
    'depth_m: given -3, accepted 0 to 100 m'
    """

    def __init__(self, argument: str, given: object, accepted: str) -> None:
        super().__init__(f"{argument}: given {given}, accepted {accepted}")
        self.argument = argument
        self.given = given
        self.accepted = accepted


def within(argument: str, value: float, low: float, high: float, unit: str) -> float:
    """`value`, if it is a finite number from `low` to `high` (both allowed), in `unit`; else OutOfRange.

    >>> within("depth_m", 12.0, 0, 100, "m")
    12.0
    """
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise OutOfRange(argument, value, f"a number from {low:g} to {high:g} {unit}".rstrip())
    if not low <= value <= high:
        raise OutOfRange(argument, value, f"{low:g} to {high:g} {unit}".rstrip())
    return float(value)
