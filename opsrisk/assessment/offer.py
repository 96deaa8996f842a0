"""Readings that can be worked out for a place and an hour: proposed as forecasts, never taken by themselves.

A measured reading always wins: the proposal says how it was had, and the person has to take it over.
"""

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from typing import Any

from opsrisk.physics.station import Station
from opsrisk.physics.tides import crossing, direction_deg, events, velocity_mps
from opsrisk.reference.units import from_si, to_si

SLACK_KN = "0.5"  # agency's choice: below it the baseline protocol adds no points for current
LOOK_AHEAD_HOURS = 14.0  # longer than half a day's tide, so that the next slack is always in it

Json = Mapping[str, Any]


def offer(name: str, site: Json, station: Json | None, units: str, now: datetime) -> dict[str, Any] | None:
    """A forecast of reading `name` for `site` at `now`, or None where nothing is known to make one from.

    `station` is the packed document of the site's current station. The answer holds `value` and `unit` as
    they would be typed, `words` to read, and `window` where the current is slack.
    """
    return _OFFERS[name](site, station, units, now)


def _current(site: Json, station: Json | None, units: str, now: datetime) -> dict[str, Any] | None:
    if station is None:
        return None
    known = Station.from_document(station)
    velocity = velocity_mps(known, now)
    speed = from_si(abs(velocity), "kn", 1)
    toward = f"{round(direction_deg(known, velocity)) % 360:03d}"
    turns = [event for event in events(known, start=now, hours=LOOK_AHEAD_HOURS) if event.at > now]
    following = "; ".join(_turn(event.kind, event.velocity_mps, event.at, now) for event in turns[:2])
    words = f"{known.name}, predicted for now: {speed} kn toward {toward}°. Then {following}. Measure it if you can."
    window = _slack_until(known, now)
    answer = {"words": words, "value": speed, "unit": "kn"}
    return answer | ({"window": {"ends": window.isoformat(timespec="minutes"), "source": known.name}} if window else {})


def _turn(kind: str, velocity: float, at: datetime, now: datetime) -> str:
    clock = at.astimezone(now.tzinfo).strftime("%H:%M")
    return f"slack {clock}" if kind == "slack" else f"{kind} of {from_si(abs(velocity), 'kn', 1)} kn {clock}"


def _slack_until(station: Station, now: datetime) -> datetime | None:
    """When the predicted speed next passes the slack limit upwards; None if it is over it already."""
    limit = to_si(SLACK_KN, "kn")
    if abs(velocity_mps(station, now)) >= limit:
        return None
    left = now
    for event in events(station, start=now, hours=LOOK_AHEAD_HOURS):
        if abs(event.velocity_mps) >= limit:
            level = limit if event.velocity_mps > 0 else -limit
            return crossing(station, level, left, event.at).astimezone(now.tzinfo)
        left = event.at
    return now + timedelta(hours=LOOK_AHEAD_HOURS)


_OFFERS: dict[str, Callable[[Json, Json | None, str, datetime], dict[str, Any] | None]] = {"current": _current}
