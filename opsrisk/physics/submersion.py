"""Is this still a rescue, and until when: time under water against water temperature."""

from dataclasses import dataclass
from typing import Literal

from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.reference.submersion import COLD_WATER, COLD_WINDOW, DISSENT, WARM_WINDOW

Answer = Literal["open", "closed", "not settled"]
COLDEST_C, WARMEST_C = -2.5, 40.0
LONGEST_MIN = 60.0 * 24 * 30


@dataclass(frozen=True)
class RescueWindow:
    """Whether somebody can still be saved.

    `answer` is the same at both ends of what is known, or "not settled". `best` and `worst` say whether
    the window is open at the hopeful and at the sober end. `closes_in_min` runs from now at the sober end
    (the longest time under water, the shorter window); `closes_in_best_min` at the hopeful end; both are
    negative once closed. `settle_by` names what to find out when the answer is not settled.
    """

    answer: Answer
    best: bool
    worst: bool
    window_min: float
    window_best_min: float
    closes_in_min: float
    closes_in_best_min: float
    settle_by: tuple[str, ...]
    note: str


def window_minutes(water_c: float) -> float:
    """The guide's window for water at `water_c` (C): 30 min above 6 C, 90 min at or below.

    Source: Tipton and Golden 2011. Raises OutOfRange outside -2.5 to 40 C.

    >>> window_minutes(6.0), window_minutes(6.1)
    (90.0, 30.0)
    """
    within("water_c", water_c, COLDEST_C, WARMEST_C, "C")
    return COLD_WINDOW.si if water_c <= COLD_WATER.si else WARM_WINDOW.si


def rescue_window(
    *,
    minutes_under_low: float | None,
    minutes_under_high: float | None,
    water_c_low: float | None,
    water_c_high: float | None,
) -> RescueWindow:
    """What the guide says for a time under water and a water temperature, each given as a range in min and C.

    A bound that nobody knows is None: the time under may then be zero or beyond every window, the water
    anything. The window is open as long as the time under does not exceed it. Expert opinion and case
    review, no measurement; for submersion (head under), never for immersion. Raises OutOfRange for
    negative times, bounds in the wrong order, more than 30 days, or water outside -2.5 to 40 C.

    >>> rescue_window(minutes_under_low=20, minutes_under_high=25, water_c_low=8, water_c_high=12).closes_in_min
    5.0
    """
    shortest, longest = _ordered("minutes_under", minutes_under_low, minutes_under_high, (0.0, LONGEST_MIN, "min"))
    coldest, warmest = _ordered("water_c", water_c_low, water_c_high, (COLDEST_C, WARMEST_C, "C"))
    hopeful, sober = window_minutes(coldest), window_minutes(warmest)
    best, worst = shortest <= hopeful, longest <= sober
    return RescueWindow(
        answer="not settled" if best != worst else "open" if best else "closed",
        best=best,
        worst=worst,
        window_min=sober,
        window_best_min=hopeful,
        closes_in_min=sober - longest,
        closes_in_best_min=hopeful - shortest,
        settle_by=() if best == worst else tuple(_what_would_settle(shortest, longest, hopeful, sober)),
        note=DISSENT if hopeful > WARM_WINDOW.si else "",
    )


def _ordered(name: str, low: float | None, high: float | None, span: tuple[float, float, str]) -> tuple[float, float]:
    lowest, highest, unit = span
    bottom = lowest if low is None else within(f"{name}_low", low, lowest, highest, unit)
    top = highest if high is None else within(f"{name}_high", high, lowest, highest, unit)
    if bottom > top:
        raise OutOfRange(f"{name}_low", low, f"at most {name}_high, which is {high}")
    return bottom, top


def _what_would_settle(shortest: float, longest: float, hopeful: float, sober: float) -> list[str]:
    """The readings whose bounds lead to different answers, the other one held at either end."""
    found = []
    if any((shortest <= window) != (longest <= window) for window in (hopeful, sober)):
        found.append("minutes_under")
    if any((minutes <= hopeful) != (minutes <= sober) for minutes in (shortest, longest)):
        found.append("water_c")
    return found
