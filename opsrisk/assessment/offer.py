"""Readings that can be worked out for a place and an hour: proposed as forecasts, never taken by themselves.

A measured reading always wins: the proposal says how it was had, and the person has to take it over.
"""

from collections.abc import Callable, Mapping
from datetime import datetime
from fractions import Fraction
from math import ceil, floor
from typing import Any

from opsrisk.physics.daylight import daylight
from opsrisk.physics.station import Station
from opsrisk.physics.window import Window, current_now, windows
from opsrisk.reference.units import decimal_string, from_si, to_si

SLACK_KN = "0.5"  # agency's choice: the stretch of the baseline in which current adds few points
LONGEST_DAY_MIN = 1440  # no dusk today: a day is as far as the question goes
AHEAD_HOURS = 14.0  # longer than half a day's tide, so that a next window is always in it

Json = Mapping[str, Any]


def offer(name: str, site: Json, station: Json | None, now: datetime) -> dict[str, Any] | None:
    """A forecast of reading `name` for `site` at `now`, or None where nothing is known to make one from.

    `station` is the packed document of the site's current station. The answer holds `value`, `low`, `high`
    and `unit` as they would be typed, `words` to read, and `window` while the current is slack.
    """
    make = _OFFERS.get(name)
    return make(site, station, now) if make else None


def _current(site: Json, station: Json | None, now: datetime) -> dict[str, Any] | None:
    if station is None:
        return None
    known = Station.from_document(station)
    found = current_now(known, now)
    speed = from_si(found.speed_mps, "kn", 1)
    low, high = _outward(found.low_mps, floor), _outward(found.high_mps, ceil)
    slack = windows(known, limit_mps=to_si(SLACK_KN, "kn"), start=now, hours=AHEAD_HOURS)
    words = (
        f"{known.name}, predicted for now: {speed} kn ({low} to {high}), {found.stream} toward "
        f"{round(found.direction_deg) % 360:03d}°. {_next(slack, now)} No wind, no river in it: measure it if you can."
    )
    answer = {"words": words, "value": speed, "low": low, "high": high, "unit": "kn"}
    return answer | _window(slack, known.name, now)


def _outward(speed_mps: float, toward: Callable[[Fraction], int]) -> str:
    """A bound in tenths of a knot, rounded away from the value."""
    tenths = toward(Fraction(speed_mps) * 10 / Fraction(1852, 3600))
    return decimal_string(Fraction(tenths, 10), 1)


def _clock(at: datetime, now: datetime) -> str:
    return at.astimezone(now.tzinfo).strftime("%H:%M")


def _next(slack: tuple[Window, ...], now: datetime) -> str:
    usable = [window for window in slack if window.usable_min > 0 and window.usable_ends > now]
    if not usable:
        return f"No usable slack of {SLACK_KN} kn within {AHEAD_HOURS:.0f} hours."
    first = usable[0]
    return f"Usable slack under {SLACK_KN} kn: {_clock(first.usable_starts, now)} to {_clock(first.usable_ends, now)}."


def _window(slack: tuple[Window, ...], source: str, now: datetime) -> dict[str, Any]:
    """The slack that holds now, if it does: its usable end is when the decision has to be looked at again."""
    for window in slack:
        if window.usable_starts <= now < window.usable_ends:
            ends = window.usable_ends.astimezone(now.tzinfo).isoformat(timespec="minutes")
            return {"window": {"ends": ends, "source": source}}
    return {}


def _daylight(site: Json, station: Json | None, now: datetime) -> dict[str, Any] | None:
    """Minutes to the end of civil twilight: the light that a search still has."""
    if site.get("lat") is None:
        return None
    found = daylight(now, latitude_deg=float(site["lat"]), longitude_deg=float(site["lon"]))
    left = found.light_left_min
    minutes = str(LONGEST_DAY_MIN if left is None else min(LONGEST_DAY_MIN, floor(left)))
    sunset = f"Sunset {_clock(found.sunset, now)}. " if found.sunset else ""
    dusk = f"Dark {_clock(found.dusk, now)}. " if found.dusk else f"{found.said} "
    words = f"{sunset}{dusk}{minutes} minutes of daylight and twilight left; hills, cloud and trees take it earlier."
    return {"words": words, "value": minutes, "unit": "min"}


_OFFERS: dict[str, Callable[[Json, Json | None, datetime], dict[str, Any] | None]] = {
    "current": _current,
    "daylight": _daylight,
}
