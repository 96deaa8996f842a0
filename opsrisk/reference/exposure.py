"""Cold, heat and lightning on the people at the surface, as the weather service publishes them."""

from datetime import date

from opsrisk.reference.sources import HEAT_INDEX_EQUATION, LIGHTNING_RULE, WIND_CHILL_CHART, WIND_CHILL_METRIC
from opsrisk.reference.value import Published, Source

CHECKED = date(2026, 11, 25)


def _number(value: str, unit: str, source: Source, where: str, note: str = "") -> Published:
    return Published(value, unit, source, where, CHECKED, "read", note)


# 13.12 + 0.6215 T - 11.37 V^0.16 + 0.3965 T V^0.16, T in C, V in km/h: constant, air, wind, air with wind.
WIND_CHILL = tuple(_number(value, "", WIND_CHILL_METRIC, "formula") for value in ("13.12", "0.6215", "11.37", "0.3965"))
WIND_CHILL_POWER = _number("0.16", "", WIND_CHILL_METRIC, "formula")
WIND_CHILL_WARMEST = _number("50", "F", WIND_CHILL_CHART, "validity")
WIND_CHILL_CALMEST = _number("3", "mph", WIND_CHILL_CHART, "validity")
FROSTBITE_IN_30_MIN = _number("-18", "F", WIND_CHILL_CHART, "shading of the chart", "skin freezes within 30 minutes")

# The regression in F and percent: constant, T, R, TR, TT, RR, TTR, TRR, TTRR. Read in the source of a test-only
# library that cites it; the equation's own paper was not seen.
HEAT_INDEX = tuple(
    _number(value, "", HEAT_INDEX_EQUATION, "regression")
    for value in (
        *("-42.379", "2.04901523", "10.14333127", "-0.22475541", "-0.00683783"),
        *("-0.05481717", "0.00122874", "0.00085282", "-0.00000199"),
    )
)
HEAT_INDEX_FROM = _number("79", "F", HEAT_INDEX_EQUATION, "where the regression takes over from the simple form")

LIGHTNING_NEAR = _number("30", "s", LIGHTNING_RULE, "flash to thunder", "within about 6 miles: take shelter")
LIGHTNING_WAIT = _number("30", "min", LIGHTNING_RULE, "after the last thunder")
