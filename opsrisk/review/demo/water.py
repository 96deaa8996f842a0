"""What the invented county's water was doing at a given hour: flow by season, speed by physics."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from math import cos, exp, pi
from typing import Any

from opsrisk.physics.station import Station
from opsrisk.physics.tides import velocity_mps

DAYS = 365.25
WETTEST_DAY, WARMEST_DAY = 85, 215  # late March, early August


@dataclass(frozen=True)
class Conditions:
    """What a team would have measured, SI."""

    current_mps: float
    visibility_m: float
    depth_m: float
    water_c: float
    air_c: float
    wind_mps: float
    wave_m: float
    daylight_min: float
    ice: str


def conditions(site: Mapping[str, Any], station: Station, at: datetime, weather: float) -> Conditions:
    """The water at `site` at `at`; `weather` from 0 (calm) to 1 (storm) raises flow, wind and silt."""
    day = at.timetuple().tm_yday + at.hour / 24
    season = cos(2 * pi * (day - WARMEST_DAY) / DAYS)
    flow = (1 + 0.6 * cos(2 * pi * (day - WETTEST_DAY) / DAYS)) * (1 + 2.0 * weather**3)
    depth = site["depth_m"] * (flow**0.4 if site["kind"] == "river" else 1.0)
    water = 11.0 + 10.5 * season
    return Conditions(
        current_mps=_current(site, station, at, depth),
        visibility_m=site["visibility_m"] * (exp(-0.8 * (flow - 1)) if site["kind"] == "river" else 1 - 0.5 * weather),
        depth_m=depth,
        water_c=max(0.5, water),
        air_c=12.0 + 14.0 * season - 4 * weather,
        wind_mps=2.0 + 12.0 * weather,
        wave_m=0.05 + (1.3 * weather**2 if site["kind"] == "tidal" else 0.2 * weather),
        daylight_min=max(0.0, 60 * (18.0 + 2.2 * season - at.hour - at.minute / 60)),
        ice="solid" if water < 2.0 and site["kind"] == "still" else "none",
    )


def _current(site: Mapping[str, Any], station: Station, at: datetime, depth_m: float) -> float:
    """Manning's equation for a wide river, the harmonic prediction in the inlet, still water elsewhere."""
    if site["kind"] == "river":
        speed: float = depth_m ** (2 / 3) * site["slope"] ** 0.5 / site["roughness"]
        return speed
    if site["kind"] == "tidal":
        return abs(velocity_mps(station, at)) * float(site.get("shelter", 1.0))
    return 0.02
