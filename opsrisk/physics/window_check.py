"""A measurement on scene against the prediction: the measurement wins, and says what it does to the window."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Literal

from opsrisk.physics.instant import utc
from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.physics.station import Station
from opsrisk.physics.tides import crossing, turning_points, velocity_mps
from opsrisk.physics.window import Window, current_now, windows
from opsrisk.reference.units import from_si

Verdict = Literal["agrees", "shifted", "void"]
REACH_MIN = 60.0  # a tide more than an hour early or late is another tide: nothing is shifted that far
FASTEST_MPS = 8.0


@dataclass(frozen=True)
class Checked:
    """What a measurement left of the predicted windows.

    `verdict`: it agrees (windows as predicted), it shifts them (`shift_min`, positive is later; where two
    shifts explain the reading, the window is what both leave), or it voids them (no window at all).
    `said` puts it in words.
    """

    verdict: Verdict
    shift_min: float
    windows: tuple[Window, ...]
    said: str


def check_windows(
    station: Station,
    *,
    measured_low_mps: float,
    measured_high_mps: float,
    measured_at: datetime,
    limit_mps: float,
    hours: float,
    uncertainty_min: float,
) -> Checked:
    """Windows of the `hours` from `measured_at`, after the reading taken then (its bounds in m/s, speed only).

    Raises OutOfRange for a reading outside 0 to 8 m/s or with crossed bounds, and as `windows` does.
    """
    low = within("measured_low_mps", measured_low_mps, 0, FASTEST_MPS, "m/s")
    high = within("measured_high_mps", measured_high_mps, 0, FASTEST_MPS, "m/s")
    if low > high:
        raise OutOfRange("measured_low_mps", low, f"at most measured_high_mps, which is {high}")
    at = utc("measured_at", measured_at)
    predicted = current_now(station, at)
    measured, forecast = (_in_knots(*ends) for ends in ((low, high), (predicted.low_mps, predicted.high_mps)))
    bounds = f"measured {measured}, predicted {forecast}"
    early = at - timedelta(minutes=REACH_MIN)  # a window just past as predicted may be the one to come
    found = windows(
        station, limit_mps=limit_mps, start=early, hours=hours + REACH_MIN / 60, uncertainty_min=uncertainty_min
    )
    if low <= predicted.high_mps and predicted.low_mps <= high:
        return _agreed(found, at, high > limit_mps, bounds)
    shifts = _shifts(station, at, (low + high) / 2)
    if not shifts:
        said = f"The prediction does not hold here: {bounds}, and no time within an hour explains it. Measure again."
        return Checked("void", 0.0, (), said)
    worst = max(shifts, key=abs)
    word = "later" if worst > 0 else "earlier"
    said = f"The water runs {abs(worst):.0f} min {word} than predicted: {bounds}. The window moves with it."
    moved = (_under_all(window, shifts, at) for window in found)
    return Checked("shifted", worst, tuple(window for window in moved if window.ends > at), said)


def _in_knots(low_mps: float, high_mps: float) -> str:
    """As limits and tables are read on the water."""
    return f"{from_si(low_mps, 'kn', 2)} to {from_si(high_mps, 'kn', 2)} kn"


def _agreed(found: Sequence[Window], at: datetime, over_limit: bool, bounds: str) -> Checked:
    """Windows as predicted; but none is open at a moment at which the reading itself is over the limit."""
    left = [window for window in found if window.ends > at]
    said = f"The reading agrees with the prediction: {bounds}."
    if over_limit and left and left[0].starts <= at:
        left[0] = replace(left[0], usable_starts=at, usable_ends=at)
        said += " It may be over the limit now: this window opens when a reading is under it, not before."
    return Checked("agrees", 0.0, tuple(left), said)


def _shifts(station: Station, at: datetime, speed_mps: float) -> list[float]:
    """Minutes by which the tide is late (positive) or early, for every moment within reach that predicts the speed."""
    reach = timedelta(minutes=REACH_MIN)
    bounds = [at - reach, *turning_points(station, at - reach, 2 * REACH_MIN / 60), at + reach]
    found = []
    for left, right in pairwise(bounds):
        for level in (speed_mps, -speed_mps):
            sides = velocity_mps(station, left) - level, velocity_mps(station, right) - level
            if sides[0] * sides[1] < 0:
                like = crossing(station, level, left, right)
                found.append((at - like).total_seconds() / 60)
    nearest = [shift for shift in found if abs(shift) <= 2 * min(map(abs, found))]
    return sorted(nearest)


def _under_all(window: Window, shifts: Sequence[float], at: datetime) -> Window:
    """The window as every shift leaves it: it opens at the latest and closes at the earliest of them."""
    late, early = timedelta(minutes=max(shifts)), timedelta(minutes=min(shifts))
    opens = max(window.usable_starts + late, at)
    return replace(
        window,
        starts=window.starts + late,
        ends=max(window.starts + late, window.ends + early),
        usable_starts=opens,
        usable_ends=max(opens, window.usable_ends + early),
    )
