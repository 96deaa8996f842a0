"""Where the sun stands: declination and equation of time, good to a few seconds of an event."""

from dataclasses import dataclass
from datetime import UTC, datetime
from math import asin, cos, degrees, radians, sin, tan

EPOCH = datetime(2000, 1, 1, 12, tzinfo=UTC)


@dataclass(frozen=True)
class Sun:
    """`declination_deg`, and `ahead_min`: minutes by which the sundial runs ahead of the clock."""

    declination_deg: float
    ahead_min: float


def sun_at(at: datetime) -> Sun:
    """The sun at the aware instant `at`, by Meeus' low-precision series (about 0.01 degrees from 1950 to 2050).

    Source: Meeus, Astronomical Algorithms, chapters 25 and 28.
    """
    century = (at - EPOCH).total_seconds() / 86400 / 36525
    mean_longitude = radians((280.46646 + century * (36000.76983 + century * 0.0003032)) % 360)
    anomaly = radians(357.52911 + century * (35999.05029 - 0.0001537 * century))
    eccentricity = 0.016708634 - century * (0.000042037 + 0.0000001267 * century)
    centre = (
        sin(anomaly) * (1.914602 - century * (0.004817 + 0.000014 * century))
        + sin(2 * anomaly) * (0.019993 - 0.000101 * century)
        + sin(3 * anomaly) * 0.000289
    )
    node = radians(125.04 - 1934.136 * century)
    apparent = mean_longitude + radians(centre - 0.00569 - 0.00478 * sin(node))
    obliquity = radians(23.439291 - 0.0130042 * century + 0.00256 * cos(node))
    y = tan(obliquity / 2) ** 2
    ahead = (
        y * sin(2 * mean_longitude)
        - 2 * eccentricity * sin(anomaly)
        + 4 * eccentricity * y * sin(anomaly) * cos(2 * mean_longitude)
        - 0.5 * y * y * sin(4 * mean_longitude)
        - 1.25 * eccentricity**2 * sin(2 * anomaly)
    )
    return Sun(degrees(asin(sin(obliquity) * sin(apparent))), 4 * degrees(ahead))
