"""When the water is slow enough: from when to when, for how long, and when to recall.

A window is where the predicted speed stays at or under the limit. What may be used of it is less:
it starts late and ends early by the uncertainty of its own forecast, in time and in speed. Weather
and river flow are in no forecast; a measurement on scene wins (see window_check.py).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from math import floor

from opsrisk.physics.instant import minutes_between, utc
from opsrisk.physics.ranges import within
from opsrisk.physics.station import Station
from opsrisk.physics.tides import crossing, direction_deg, turning_points, velocity_mps

# Independent programs fed with the same constants put slacks of ordinary cycles up to 10.7 min apart and
# differ by 3 % of the peak (rms 0.15 kn at 5 kn): what a forecast is unsure of before any weather.
UNCERTAINTY_MIN = 10.0
UNCERTAINTY_OF_PEAK = 0.03
LOOK_AROUND_HOURS = 14.0  # a window that is open at the start began, and one at the end closes, within one tide
SLOWEST_LIMIT_MPS, FASTEST_LIMIT_MPS = 0.02, 5.0
LONGEST_HOURS = 24.0 * 31


@dataclass(frozen=True)
class Forecast:
    """The current expected at an instant: speed and its bounds in m/s, where the water goes, degrees true.

    `stream` is flood or ebb. The bounds hold the speeds within the forecast's uncertainty in time, widened
    by its uncertainty in speed. Predicted only: no wind, no river.
    """

    at: datetime
    speed_mps: float
    low_mps: float
    high_mps: float
    direction_deg: float
    stream: str


@dataclass(frozen=True)
class Window:
    """A time in which the current stays at or under a limit.

    `starts` and `ends` as forecast; `usable_starts` and `usable_ends` after the forecast's uncertainty
    (equal to each other when nothing is left); `peak_mps` the strongest current in the tide that follows:
    what a diver meets who is late. An end that was not found within the look-ahead is the look-ahead's own
    and `open_ended` says so.
    """

    starts: datetime
    ends: datetime
    usable_starts: datetime
    usable_ends: datetime
    uncertainty_min: float
    peak_mps: float
    open_ended: bool = False

    @property
    def usable_min(self) -> float:
        """Minutes that may be planned with; 0 when the uncertainty eats the window."""
        return minutes_between(self.usable_starts, self.usable_ends)


def current_now(station: Station, at: datetime) -> Forecast:
    """The predicted current at `at` with its bounds. Raises OutOfRange for a time without offset or out of range."""
    instant = utc("at", at)
    reach = timedelta(minutes=UNCERTAINTY_MIN)
    hours = 2 * UNCERTAINTY_MIN / 60
    turns = turning_points(station, instant - reach, hours)
    near = [velocity_mps(station, moment) for moment in (instant - reach, instant, *turns, instant + reach)]
    turns_through_slack = min(near) <= 0 <= max(near)
    margin = UNCERTAINTY_OF_PEAK * _peak(station, instant - timedelta(hours=LOOK_AROUND_HOURS), 2 * LOOK_AROUND_HOURS)
    speeds = [abs(velocity) for velocity in near]
    velocity = near[1]
    return Forecast(
        at=instant,
        speed_mps=abs(velocity),
        low_mps=0.0 if turns_through_slack else max(0.0, min(speeds) - margin),
        high_mps=max(speeds) + margin,
        direction_deg=direction_deg(station, velocity),
        stream="flood" if velocity >= 0 else "ebb",
    )


def windows(
    station: Station,
    *,
    limit_mps: float,
    start: datetime,
    hours: float,
    uncertainty_min: float = UNCERTAINTY_MIN,
) -> tuple[Window, ...]:
    """Every window of `limit_mps` (m/s) that touches the `hours` after `start`, in order, whole.

    A window open at `start` is given with its true beginning. Raises OutOfRange for a limit outside
    0.02 to 5 m/s, more than 31 days, an uncertainty outside 0 to 180 min, or a time without offset.
    """
    within("limit_mps", limit_mps, SLOWEST_LIMIT_MPS, FASTEST_LIMIT_MPS, "m/s")
    within("hours", hours, 0, LONGEST_HOURS, "h")
    within("uncertainty_min", uncertainty_min, 0, 180, "min")
    begin = utc("start", start)
    first = begin - timedelta(hours=LOOK_AROUND_HOURS)
    bounds = _bounds(station, first, hours + 2 * LOOK_AROUND_HOURS)
    margin = UNCERTAINTY_OF_PEAK * max(abs(velocity_mps(station, at)) for at in bounds)
    outer = _slow_spans(station, bounds, limit_mps)
    inner = _slow_spans(station, bounds, max(0.0, limit_mps - margin))
    found = [
        _window(span, longest_inside(span, inner), uncertainty_min, bounds, lambda at: abs(velocity_mps(station, at)))
        for span in outer
    ]
    last = begin + timedelta(hours=hours)
    return tuple(window for window in found if window.ends > begin and window.starts < last)


def dives_that_fit(window: Window, *, dive_min: float, between_min: float, ready_at: datetime | None = None) -> int:
    """How many dives of `dive_min` (surface to surface), one after another, end inside the usable window.

    `between_min` is the time from one diver out to the next one in; `ready_at` the earliest start.
    Raises OutOfRange for dives outside 1 to 600 min or pauses outside 0 to 600 min.

    >>> from datetime import UTC
    >>> noon = datetime(2026, 11, 25, 12, tzinfo=UTC)
    >>> slack = Window(noon, noon + timedelta(minutes=90), noon, noon + timedelta(minutes=70), 10, 1.0)
    >>> dives_that_fit(slack, dive_min=30, between_min=10)
    2
    """
    within("dive_min", dive_min, 1, 600, "min")
    within("between_min", between_min, 0, 600, "min")
    opens = window.usable_starts if ready_at is None else max(window.usable_starts, utc("ready_at", ready_at))
    left = minutes_between(opens, window.usable_ends)
    return max(0, floor((left + between_min) / (dive_min + between_min)))


def recall_at(window: Window, *, way_up_min: float) -> datetime:
    """When to call the divers up so that they are out when the usable window ends; `way_up_min` from 0 to 120."""
    return window.usable_ends - timedelta(minutes=within("way_up_min", way_up_min, 0, 120, "min"))


def recheck_times(window: Window, *, every_min: float) -> tuple[datetime, ...]:
    """When to measure the current again: at the usable start, then every `every_min` (5 to 240), and at the usable end.

    Empty where nothing of the window is usable.
    """
    within("every_min", every_min, 5, 240, "min")
    if window.usable_min <= 0:
        return ()
    looks = floor(window.usable_min / every_min)
    times = [window.usable_starts + timedelta(minutes=every_min * look) for look in range(looks + 1)]
    return tuple(times if times[-1] == window.usable_ends else [*times, window.usable_ends])


Span = tuple[datetime, datetime]


def _bounds(station: Station, first: datetime, hours: float) -> list[datetime]:
    return [first, *turning_points(station, first, hours), first + timedelta(hours=hours)]


def _peak(station: Station, first: datetime, hours: float) -> float:
    return max(abs(velocity_mps(station, at)) for at in _bounds(station, first, hours))


def _slow_spans(station: Station, bounds: Sequence[datetime], limit_mps: float) -> list[Span]:
    """Spans with |v| <= limit; between two bounds the velocity is monotone, so each pair holds one piece at most."""
    spans: list[Span] = []
    for piece in _pieces(station, bounds, limit_mps):
        if spans and piece[0] <= spans[-1][1]:
            spans[-1] = (spans[-1][0], piece[1])
        else:
            spans.append(piece)
    return spans


def _pieces(station: Station, bounds: Sequence[datetime], limit_mps: float) -> Iterator[Span]:
    for left, right in pairwise(bounds):
        v_left, v_right = velocity_mps(station, left), velocity_mps(station, right)
        if min(v_left, v_right) > limit_mps or max(v_left, v_right) < -limit_mps:
            continue
        edges = []
        for at, v in ((left, v_left), (right, v_right)):
            inside = abs(v) <= limit_mps
            edges.append(at if inside else crossing(station, limit_mps if v > 0 else -limit_mps, left, right))
        yield edges[0], edges[1]


def longest_inside(span: Span, inner: Sequence[Span]) -> Span | None:
    """The longest of `inner` that lies wholly in `span`, or None."""
    inside = [one for one in inner if span[0] <= one[0] and one[1] <= span[1]]
    return max(inside, key=lambda one: one[1] - one[0], default=None)


def _window(
    span: Span, inner: Span | None, trim_min: float, bounds: Sequence[datetime], speed_at: Callable[[datetime], float]
) -> Window:
    opens_before, open_ended = span[0] == bounds[0], span[1] == bounds[-1]
    trim = timedelta(minutes=trim_min)
    starts, ends = inner or (span[0], span[0])
    usable_starts = starts if opens_before else max(starts, span[0] + trim)
    usable_ends = ends if open_ended else min(ends, span[1] - trim)
    if inner is None or usable_ends < usable_starts:
        usable_ends = usable_starts
    following = [at for at in bounds if at >= span[1]][:1] or [span[1]]
    return Window(span[0], span[1], usable_starts, usable_ends, trim_min, speed_at(following[0]), open_ended)
