"""Minutes of daylight left: to sunset and to the end of civil twilight, here and today.

Against skyfield with an ephemeris: every event within 16 s from 34 S to 70 N (within 8 s but for one
that grazes), and right about days without sunset or sunrise. Refraction is the usual 34 minutes of
arc: a hill, a cloud bank or a canyon wall takes the light earlier than any table.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import acos, asin, cos, degrees, radians, sin
from typing import Literal

from opsrisk.physics.instant import minutes_between, utc
from opsrisk.physics.ranges import within
from opsrisk.physics.sun import sun_at

HORIZON_DEG = -50 / 60  # refraction 34' and half the sun's disc 16'
CIVIL_TWILIGHT_DEG = -6.0
PARALLAX_DEG = 8.794 / 3600  # seen from the ground the sun at the horizon stands this much lower
ROUNDS = 12  # the declination at the event itself, not at noon: under a second, also where the sun just grazes

Side = Literal[-1, 1]


@dataclass(frozen=True)
class Daylight:
    """The solar day around an instant, all in UTC; None where the sun does not cross that height that day.

    `said` states a polar day or night plainly. `to_sunset_min` and `to_dusk_min` run from the instant:
    negative once past, None where the event does not come.
    """

    noon: datetime
    dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    dusk: datetime | None
    to_sunset_min: float | None
    to_dusk_min: float | None
    sun_height_deg: float
    said: str

    @property
    def light_left_min(self) -> float | None:
        """Minutes until civil twilight ends: 0 when it is dark, None while it does not end that day."""
        if self.to_dusk_min is not None:
            dark_before_dawn = self.sun_height_deg < CIVIL_TWILIGHT_DEG
            return 0.0 if dark_before_dawn else max(0.0, self.to_dusk_min)
        return None if self.sun_height_deg >= CIVIL_TWILIGHT_DEG else 0.0


def daylight(at: datetime, *, latitude_deg: float, longitude_deg: float) -> Daylight:
    """Sun events of the solar day (noon to midnight on either side) that holds `at`, at the given place.

    Degrees north and east. Raises OutOfRange for a place off the globe, within 0.5 degrees of a pole
    (where a solar day means nothing), or a time without offset or outside 1970 to 2100.
    """
    instant = utc("at", at)
    within("latitude_deg", latitude_deg, -89.5, 89.5, "degrees")
    within("longitude_deg", longitude_deg, -180, 180, "degrees")
    noon = _noon(instant, longitude_deg)
    rise, set_ = (_crossing(noon, latitude_deg, HORIZON_DEG, side) for side in (-1, 1))
    dawn, dusk = (_crossing(noon, latitude_deg, CIVIL_TWILIGHT_DEG, side) for side in (-1, 1))
    return Daylight(
        noon=noon,
        dawn=dawn,
        sunrise=rise,
        sunset=set_,
        dusk=dusk,
        to_sunset_min=minutes_between(instant, set_) if set_ else None,
        to_dusk_min=minutes_between(instant, dusk) if dusk else None,
        sun_height_deg=sun_height_deg(instant, latitude_deg=latitude_deg, longitude_deg=longitude_deg),
        said=_said(noon, latitude_deg, longitude_deg, (set_ is not None, dusk is not None)),
    )


def sun_height_deg(at: datetime, *, latitude_deg: float, longitude_deg: float) -> float:
    """Height of the sun's centre above the horizon, degrees, without refraction."""
    instant = utc("at", at)
    sun = sun_at(instant)
    hour_angle = radians(15 * (instant - _midday(instant, longitude_deg)).total_seconds() / 3600)
    phi, delta = radians(latitude_deg), radians(sun.declination_deg)
    return degrees(asin(sin(phi) * sin(delta) + cos(phi) * cos(delta) * cos(hour_angle)))


def _midday(near: datetime, longitude_deg: float) -> datetime:
    """The moment nearest to `near` at which the sun, as it runs at `near`, crosses the meridian."""
    clock_noon = near.replace(hour=12, minute=0, second=0, microsecond=0)
    noon = clock_noon - timedelta(minutes=4 * longitude_deg + sun_at(near).ahead_min)
    days = round((near - noon) / timedelta(days=1))
    return noon + timedelta(days=days)


def _noon(at: datetime, longitude_deg: float) -> datetime:
    noon = _midday(at, longitude_deg)
    for _ in range(ROUNDS):
        noon = _midday(noon, longitude_deg)
    return noon


def _crossing(noon: datetime, latitude_deg: float, height_deg: float, side: Side) -> datetime | None:
    """When the sun passes `height_deg` before (-1) or after (+1) `noon`; None if it does not that day."""
    at, phi, ratio = noon, radians(latitude_deg), 0.0
    for _ in range(ROUNDS):
        delta = radians(sun_at(at).declination_deg)
        ratio = (sin(radians(height_deg + PARALLAX_DEG)) - sin(phi) * sin(delta)) / (cos(phi) * cos(delta))
        # By noon's declination the sun may miss the height that it reaches twelve hours later: look there first.
        turn = acos(min(1.0, max(-1.0, ratio)))
        at = _midday_on(noon, at) + side * timedelta(hours=degrees(turn) / 15)
    return at if -1 <= ratio <= 1 else None


def _midday_on(noon: datetime, at: datetime) -> datetime:
    """Noon of the same solar day, by the equation of time as it stands at `at`."""
    return noon + timedelta(minutes=sun_at(noon).ahead_min - sun_at(at).ahead_min)


def _said(noon: datetime, latitude_deg: float, longitude_deg: float, events: tuple[bool, bool]) -> str:
    sets, darkens = events
    height = sun_height_deg(noon, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    if height < CIVIL_TWILIGHT_DEG:
        return "Polar night: the sun stays so low that there is no civil twilight all day."
    if height < HORIZON_DEG:
        return "Polar night: the sun does not rise; there is twilight around noon only."
    if not sets:
        return "The sun does not set today."
    if not darkens:
        return "The sun sets, but civil twilight lasts all night."
    return ""
