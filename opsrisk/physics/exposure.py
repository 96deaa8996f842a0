"""What cold and heat at the surface do to the crew that waits there."""

from math import sqrt

from opsrisk.physics.ranges import within
from opsrisk.reference.exposure import (
    FROSTBITE_IN_30_MIN,
    HEAT_INDEX,
    HEAT_INDEX_FROM,
    WIND_CHILL,
    WIND_CHILL_CALMEST,
    WIND_CHILL_POWER,
    WIND_CHILL_WARMEST,
)

COLDEST_C, HOTTEST_C = -60.0, 60.0
FASTEST_MPS = 75.0


def wind_chill_c(*, air_c: float, wind_mps: float) -> float:
    """Wind chill temperature, C, for air at `air_c` (C) and wind at `wind_mps` (m/s, 10 m above ground).

    The formula holds up to 10 C (50 F) and from 1.34 m/s (3 mph); outside it no chill is defined and
    the air temperature is the answer. Against MetPy: equal to 1e-9; against the published chart:
    every cell. Raises OutOfRange below -60 or above 60 C, below 0 or above 75 m/s.

    >>> round(wind_chill_c(air_c=-10, wind_mps=20 / 3.6), 2)
    -17.86
    """
    within("air_c", air_c, COLDEST_C, HOTTEST_C, "C")
    within("wind_mps", wind_mps, 0, FASTEST_MPS, "m/s")
    if air_c > WIND_CHILL_WARMEST.si or wind_mps < WIND_CHILL_CALMEST.si:
        return float(air_c)
    constant, air, wind, both = (float(one.value) for one in WIND_CHILL)
    gust = float((wind_mps * 3.6) ** float(WIND_CHILL_POWER.value))
    return constant + air * air_c - wind * gust + both * air_c * gust


def frostbite_within_30_min(*, air_c: float, wind_mps: float) -> bool:
    """Whether bare skin freezes within 30 minutes: wind chill at or under -27.8 C (-18 F, published chart)."""
    return wind_chill_c(air_c=air_c, wind_mps=wind_mps) <= FROSTBITE_IN_30_MIN.si


def heat_index_c(*, air_c: float, humidity_percent: float) -> float:
    """Heat index, C, for air at `air_c` (C, in the shade) and relative humidity in percent.

    The weather service's regression with its two adjustments; its simple form where that stays under
    79 F; the air itself at 40 F and colder. Against MetPy: equal to 1e-6 (it takes the dry adjustment
    off the simple form too, which the service states for the regression only). The chart starts at 80 F
    (26.7 C): below it the number says little. Sun adds up to 8 C. Raises OutOfRange outside -60 to 60 C
    or 0 to 100 percent.

    >>> round(heat_index_c(air_c=(90 - 32) / 1.8, humidity_percent=70) * 1.8 + 32, 1)
    105.9
    """
    within("air_c", air_c, COLDEST_C, HOTTEST_C, "C")
    within("humidity_percent", humidity_percent, 0, 100, "percent")
    t, r = air_c * 1.8 + 32, humidity_percent
    simple = 1.1 * t - 10.3 + 0.047 * r
    if t <= 40:
        return air_c
    if simple < float(HEAT_INDEX_FROM.value):
        return (simple - 32) / 1.8
    return (_regression_f(t, r) + _adjustment_f(t, r) - 32) / 1.8


def _regression_f(t: float, r: float) -> float:
    c = [float(one.value) for one in HEAT_INDEX]
    terms = (1.0, t, r, t * r, t * t, r * r, t * t * r, t * r * r, t * t * r * r)
    return sum(factor * term for factor, term in zip(c, terms, strict=True))


def _adjustment_f(t: float, r: float) -> float:
    """Dry air takes some off, very moist air puts some on."""
    if r <= 13 and 80 <= t <= 112:
        return -(13 - r) / 4 * sqrt((17 - abs(t - 95)) / 17)
    if r > 85 and 80 <= t <= 87:
        return 0.02 * (r - 85) * (87 - t)
    return 0.0
