"""Units of the trade and their exact definitions in SI.

A reading is stored in SI and shown in the unit it was given in. Conversions go through exact
fractions, so that 1.0 kn typed on a tablet and 1.0 kn printed in a protocol are the same float.
Sources: the international foot, mile and nautical mile are exact by definition (0.3048 m,
1609.344 m, 1852 m); feet and metres of sea water are pressure units (fsw = 1/33 standard
atmosphere in US Navy practice, msw = 1/10 bar) and are read here as depth by the trade's
convention 1 fsw = 1 ft, 1 msw = 1 m.
"""

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

# unit: (dimension, SI unit, factor, offset): SI = value * factor + offset
UNITS: dict[str, tuple[str, str, Fraction, Fraction]] = {
    "m/s": ("speed", "m/s", Fraction(1), Fraction(0)),
    "kn": ("speed", "m/s", Fraction(1852, 3600), Fraction(0)),
    "ft/s": ("speed", "m/s", Fraction(3048, 10000), Fraction(0)),
    "km/h": ("speed", "m/s", Fraction(1000, 3600), Fraction(0)),
    "mph": ("speed", "m/s", Fraction(1609344, 3600000), Fraction(0)),
    "m": ("length", "m", Fraction(1), Fraction(0)),
    "ft": ("length", "m", Fraction(3048, 10000), Fraction(0)),
    "fsw": ("length", "m", Fraction(3048, 10000), Fraction(0)),
    "msw": ("length", "m", Fraction(1), Fraction(0)),
    "cm": ("length", "m", Fraction(1, 100), Fraction(0)),
    "mm": ("length", "m", Fraction(1, 1000), Fraction(0)),
    "in": ("length", "m", Fraction(254, 10000), Fraction(0)),
    "C": ("temperature", "C", Fraction(1), Fraction(0)),
    "F": ("temperature", "C", Fraction(5, 9), Fraction(-160, 9)),
    "min": ("time", "min", Fraction(1), Fraction(0)),
    "h": ("time", "min", Fraction(60), Fraction(0)),
    "s": ("time", "min", Fraction(1, 60), Fraction(0)),
    "N": ("force", "N", Fraction(1), Fraction(0)),
    "lbf": ("force", "N", Fraction("4.4482216152605"), Fraction(0)),
    "N/m": ("force per length", "N/m", Fraction(1), Fraction(0)),
    "m2": ("area", "m2", Fraction(1), Fraction(0)),
    "ft2": ("area", "m2", Fraction(3048, 10000) ** 2, Fraction(0)),
    "L": ("volume", "L", Fraction(1), Fraction(0)),
    "ft3": ("volume", "L", Fraction(3048, 1000) ** 3, Fraction(0)),
    "L/min": ("flow", "L/min", Fraction(1), Fraction(0)),
    "ft3/min": ("flow", "L/min", Fraction(3048, 1000) ** 3, Fraction(0)),
    "m3/s": ("flow", "L/min", Fraction(60000), Fraction(0)),
    "bar": ("pressure", "bar", Fraction(1), Fraction(0)),
    "Pa": ("pressure", "bar", Fraction(1, 100000), Fraction(0)),
    "kPa": ("pressure", "bar", Fraction(1, 100), Fraction(0)),
    "psi": ("pressure", "bar", Fraction("0.0689475729316836"), Fraction(0)),
    "kg": ("mass", "kg", Fraction(1), Fraction(0)),
    "lb": ("mass", "kg", Fraction("0.45359237"), Fraction(0)),
    "kg/m3": ("density", "kg/m3", Fraction(1), Fraction(0)),
    "lb/ft3": ("density", "kg/m3", Fraction("0.45359237") / Fraction(3048, 10000) ** 3, Fraction(0)),
    "m/s2": ("acceleration", "m/s2", Fraction(1), Fraction(0)),
    "ft/s2": ("acceleration", "m/s2", Fraction(3048, 10000), Fraction(0)),
    "J/(kg K)": ("gas constant", "J/(kg K)", Fraction(1), Fraction(0)),
    "K/m": ("temperature gradient", "K/m", Fraction(1), Fraction(0)),
    "kHz": ("frequency", "kHz", Fraction(1), Fraction(0)),
    "deg": ("angle", "deg", Fraction(1), Fraction(0)),
    "": ("count", "", Fraction(1), Fraction(0)),
}


def dimension(unit: str) -> str:
    """The kind of quantity that `unit` measures. Raises KeyError for a unit that is not in UNITS."""
    return UNITS[unit][0]


def si_unit(unit: str) -> str:
    """The SI (or trade-SI: C, min, bar, L) unit that `unit` is stored in. Raises KeyError if unknown."""
    return UNITS[unit][1]


def exact_si(value: str | int | Decimal | Fraction, unit: str) -> Fraction:
    """`value` in `unit` as its exact SI value, for arithmetic before the one rounding to a float. Raises as `to_si`."""
    _, _, factor, offset = UNITS[unit]
    return Fraction(value) * factor + offset


def to_si(value: str | int | Decimal | Fraction, unit: str) -> float:
    """`value` in `unit` as the nearest float of its exact SI value.

    Takes decimal strings, integers, Decimal or Fraction: never a float, whose binary rounding would
    make the same printed number mean two things. Raises ValueError for what is no number, KeyError
    for an unknown unit.

    >>> to_si("1.0", "kn") == 1852 / 3600
    True
    """
    return float(exact_si(value, unit))


def from_si(si_value: float, unit: str, places: int) -> str:
    """`si_value` shown in `unit` as a decimal string with `places` decimals, half to even.

    >>> from_si(0.5144444444444445, "kn", 2)
    '1.00'
    """
    _, _, factor, offset = UNITS[unit]
    exact = (Fraction(si_value) - offset) / factor
    return decimal_string(exact, places)


def decimal_string(exact: Fraction, places: int) -> str:
    """`exact` as a decimal string with `places` decimals, half to even; minus zero is written as zero."""
    scaled = exact * 10**places
    whole = int((Decimal(scaled.numerator) / Decimal(scaled.denominator)).to_integral_value(ROUND_HALF_EVEN))
    text = str(Decimal(whole).scaleb(-places))
    return format(Decimal(text), "f")
