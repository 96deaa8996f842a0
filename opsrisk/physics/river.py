"""Windows on a river below a dam: one measured speed, a release schedule, and the time the water takes.

A rise counts from the earliest minute it can arrive, a fall only from the latest. How much faster the
water gets is bounded by continuity: discharge is speed times cross-section, and the section does not
shrink when the river rises, so the speed grows at most in proportion. A fall is believed only when it
has been measured.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from opsrisk.physics.instant import minutes_between, utc
from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.physics.window import FASTEST_LIMIT_MPS, SLOWEST_LIMIT_MPS, Span, Window, longest_inside

FASTEST_MPS = 8.0
ARRIVAL_SHARE = 0.25
ARRIVAL_LEAST_MIN = 10.0


@dataclass(frozen=True)
class Release:
    """A change at the dam: when, the speed that follows at the site (m/s, upper end), minutes the water travels."""

    at: datetime
    speed_mps: float
    travel_min: float

    @property
    def unsure_min(self) -> float:
        """How far the arrival may be off: a quarter of the travel time or ten minutes, whichever is more."""
        return max(ARRIVAL_SHARE * self.travel_min, ARRIVAL_LEAST_MIN)


def speed_after_release(*, speed_mps: float, discharge_before: float, discharge_after: float) -> float:
    """The most that a measured `speed_mps` (m/s) becomes when the dam changes its discharge (any unit, the same twice).

    In proportion when it rises; unchanged when it falls. Raises OutOfRange for speeds outside 0 to 8 m/s
    or discharges that are not positive (a dam that releases nothing gives no ratio).

    >>> speed_after_release(speed_mps=0.4, discharge_before=100, discharge_after=250)
    1.0
    """
    within("speed_mps", speed_mps, 0, FASTEST_MPS, "m/s")
    for name, value in (("discharge_before", discharge_before), ("discharge_after", discharge_after)):
        if within(name, value, 0, 1e7, "of the unit used") == 0:
            raise OutOfRange(name, value, "more than nothing")
    return speed_mps * max(1.0, discharge_after / discharge_before)


def river_windows(
    *,
    measured_mps: float,
    measured_at: datetime,
    releases: Sequence[Release],
    limit_mps: float,
    until: datetime,
) -> tuple[Window, ...]:
    """Windows between `measured_at` and `until` at the measured place and depth, given the dam's schedule.

    `measured_mps` is the upper end of what was measured (m/s). At any minute every water that may have
    arrived counts, the fastest decides. After the last announced change its speed is taken to last, and
    the window says open-ended; releases nobody announced are not in it. Raises OutOfRange for speeds
    outside 0 to 8 m/s, releases out of order, or an end before the start.
    """
    within("limit_mps", limit_mps, SLOWEST_LIMIT_MPS, FASTEST_LIMIT_MPS, "m/s")
    within("measured_mps", measured_mps, 0, FASTEST_MPS, "m/s")
    begin, end = utc("measured_at", measured_at), utc("until", until)
    if end <= begin:
        raise OutOfRange("until", until.isoformat(), "a time after the measurement")
    _refuse_disorder(releases)
    first = Release(begin, measured_mps, 0.0)
    waters = [first, *releases]
    announced = _slow(_fast_spans(waters, limit_mps, end, unsure=False), begin, end)
    certain = _slow(_fast_spans(waters, limit_mps, end, unsure=True), begin, end)
    return tuple(_window(span, longest_inside(span, certain), waters, limit_mps, end) for span in announced)


def _arrival(release: Release, *, sign: int) -> datetime:
    return release.at + timedelta(minutes=max(0.0, release.travel_min + sign * release.unsure_min))


def _fast_spans(waters: Sequence[Release], limit_mps: float, end: datetime, *, unsure: bool) -> list[Span]:
    """From its earliest to its successor's latest arrival each water may be there: spans of those over the limit."""
    spans = []
    for place, water in enumerate(waters):
        if water.speed_mps > limit_mps:
            arrives = water.at if place == 0 else _arrival(water, sign=-int(unsure))
            follows = waters[place + 1] if place + 1 < len(waters) else None
            spans.append((arrives, _arrival(follows, sign=int(unsure)) if follows else end))
    return sorted(spans)


def _slow(fast: Sequence[Span], begin: datetime, end: datetime) -> list[Span]:
    """The gaps that `fast` leaves between `begin` and `end`."""
    gaps, at = [], begin
    for starts, ends in fast:
        if starts > at:
            gaps.append((at, min(starts, end)))
        at = max(at, ends)
    return [gap for gap in [*gaps, (at, end)] if gap[1] > gap[0]]


def _window(span: Span, sure: Span | None, waters: Sequence[Release], limit_mps: float, end: datetime) -> Window:
    usable = sure or (span[0], span[0])
    later = [water for water in waters[1:] if _arrival(water, sign=0) >= span[1] and water.speed_mps > limit_mps]
    peak = later[0].speed_mps if later else max(water.speed_mps for water in waters if water.speed_mps <= limit_mps)
    trimmed = max(minutes_between(span[0], usable[0]), minutes_between(usable[1], span[1])) if sure else 0.0
    return Window(span[0], span[1], usable[0], usable[1], trimmed, peak, span[1] == end)


def _refuse_disorder(releases: Sequence[Release]) -> None:
    for release in releases:
        within("releases", release.speed_mps, 0, FASTEST_MPS, "m/s")
        within("releases", release.travel_min, 0, 48 * 60, "min")
        utc("releases", release.at)
    for one, other in pairwise(releases):
        if _arrival(other, sign=0) <= _arrival(one, sign=0):
            raise OutOfRange("releases", other.at.isoformat(), "releases in the order in which their water arrives")
