"""The tidal current that a station's constituents predict, for any instant.

v(t) = mean + sum of f A cos(V + u - g), positive on the flood. Weather, river flow and the shape of
the bottom a hundred metres away are not in it: the answer is a forecast, and a measurement on scene
wins over it. Source: Schureman 1958; the constants belong to the station.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from itertools import pairwise
from math import cos, radians, sin

from opsrisk.physics.equilibrium import argument_deg, node, node_formulas, sky, speed_deg_per_hour
from opsrisk.physics.instant import utc
from opsrisk.physics.ranges import within
from opsrisk.physics.station import Station

SCAN_HOURS = 0.25  # the fastest constituent, M8, turns round in 3.1 h: no turning point hides in a quarter
FINEST_HOURS = 0.5 / 3600
LONGEST_HOURS = 24 * 62


@dataclass(frozen=True)
class Event:
    """A turn of the current: `kind` is slack, flood or ebb; `velocity_mps` is positive on the flood."""

    at: datetime
    kind: str
    velocity_mps: float


def velocity_mps(station: Station, at: datetime) -> float:
    """Predicted velocity along the stream at `at`, m/s, positive on the flood.

    Valid for 1970 to 2100. Against an independent predictor over 2026 at 100 stations: see
    docs/computations/current.md. Raises OutOfRange for a time without offset or outside the range.
    """
    return _velocity_at(station, utc("at", at))


def turning_points(station: Station, start: datetime, hours: float) -> tuple[datetime, ...]:
    """Instants from `start` over `hours` at which the velocity stops growing or falling.

    Between two of them the velocity is monotone. Found within 0.5 s. Raises OutOfRange for more
    than 62 days or a time without offset.
    """
    within("hours", hours, 0, LONGEST_HOURS, "h")
    begin = utc("start", start)
    end = begin + timedelta(hours=hours)
    found: list[datetime] = []
    left, slope = begin, _slope_at(station, begin)
    while left < end:
        right = min(left + timedelta(hours=SCAN_HOURS), end)
        next_slope = _slope_at(station, right)
        if slope * next_slope < 0:
            found.append(_between(lambda at: _slope_at(station, at), left, right, (slope, next_slope)))
        left, slope = right, next_slope
    return tuple(found)


def events(station: Station, *, start: datetime, hours: float) -> tuple[Event, ...]:
    """Slacks and maxima in the order of time, from `start` over `hours`.

    A maximum is a turning point away from zero; a turning point on the other side of it (a double
    flood's dip) is listed too, under the same name. Raises OutOfRange as `turning_points` does.
    """
    begin = utc("start", start)
    turns = turning_points(station, begin, hours)
    bounds = (begin, *turns, begin + timedelta(hours=hours))
    listed = [Event(at, "flood" if v > 0 else "ebb", v) for at in turns for v in [velocity_mps(station, at)]]
    for left, right in pairwise(bounds):
        if velocity_mps(station, left) * velocity_mps(station, right) < 0:
            at = crossing(station, 0.0, left, right)
            listed.append(Event(at, "slack", 0.0))
    return tuple(sorted(listed, key=lambda event: event.at))


def crossing(station: Station, level_mps: float, left: datetime, right: datetime) -> datetime:
    """The instant between `left` and `right` at which the velocity passes `level_mps`, within 0.5 s.

    The velocity must lie on different sides at both ends; with several passings one of them is given.
    """
    begin, end = utc("left", left), utc("right", right)

    def height(at: datetime) -> float:
        return _velocity_at(station, at) - level_mps

    return _between(height, begin, end, (height(begin), height(end)))


def direction_deg(station: Station, velocity: float) -> float:
    """Where the water goes, degrees true, for a velocity that is positive on the flood."""
    return station.flood_direction_deg if velocity >= 0 else station.ebb_direction_deg


# One day's curve: amplitude m/s, speed rad/h, phase rad at noon UTC; node factors move under 0.1 % in a day.
Line = tuple[float, float, float]


@lru_cache(maxsize=4096)
def _day(station: Station, day: date) -> tuple[float, tuple[Line, ...]]:
    where = sky(_noon(day))
    formulas = node_formulas(where)
    lines = []
    for one in station.constituents:
        turned = node(one.name, formulas)
        phase = argument_deg(one.name, where) + turned.u_deg - one.phase_deg
        lines.append((turned.f * one.amplitude_mps, radians(speed_deg_per_hour(one.name)), radians(phase % 360)))
    return station.mean_flow_mps, tuple(lines)


def _noon(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 12, tzinfo=UTC)


def _velocity_at(station: Station, at: datetime) -> float:
    mean, lines = _day(station, at.date())
    hour = (at - _noon(at.date())).total_seconds() / 3600
    return mean + sum([size * cos(speed * hour + phase) for size, speed, phase in lines])


def _slope_at(station: Station, at: datetime) -> float:
    day = at.date()
    _, lines = _day(station, day)
    hour = (at - _noon(day)).total_seconds() / 3600
    return -sum([size * speed * sin(speed * hour + phase) for size, speed, phase in lines])


def _between(
    height: Callable[[datetime], float], left: datetime, right: datetime, ends: tuple[float, float]
) -> datetime:
    """Where `height` passes zero between two instants with `ends` there, by false position with the weight of an end
    that stays halved (the Illinois rule): a third of the looks that halving the span would take."""
    span = (right - left).total_seconds() / 3600
    low, high = 0.0, span
    at_low, at_high = ends
    moved = 0
    while high - low > FINEST_HOURS:
        flat = at_high == at_low
        guess = (low + high) / 2 if flat else low - at_low * (high - low) / (at_high - at_low)
        guess = min(max(guess, low + FINEST_HOURS / 2), high - FINEST_HOURS / 2)
        value = height(left + timedelta(hours=guess))
        if (value < 0) == (at_low < 0):
            low, at_low = guess, value
            at_high *= 0.5 if moved == 1 else 1.0
            moved = 1
        else:
            high, at_high = guess, value
            at_low *= 0.5 if moved == -1 else 1.0
            moved = -1
    return left + timedelta(hours=(low + high) / 2)
