"""Published forms for density and sound speed of water, the standard atmosphere, and gravity."""

from datetime import date

from opsrisk.reference import sources
from opsrisk.reference.value import Published, Table

CHECKED = date(2026, 11, 25)

STANDARD_GRAVITY = Published(
    "9.80665", "m/s2", source=sources.SI_BROCHURE, where="standard acceleration due to gravity", checked=CHECKED,
    status="read", note="exact by definition; read in a program that follows the standard atmosphere",
)  # fmt: skip

# Density at one atmosphere: sum over the rows of t^power times (pure + s*a + s^1.5*b + s^2*c), t on the
# scale of 1968, s practical salinity. Nine transcriptions in public programs agree in every digit but two slips.
DENSITY = Table(
    columns=(("power of t", ""), ("pure water", ""), ("s", ""), ("s^1.5", ""), ("s^2", "")),
    rows=(
        ("0", "999.842594", "8.24493e-1", "-5.72466e-3", "4.8314e-4"),
        ("1", "6.793952e-2", "-4.0899e-3", "1.0227e-4", "0"),
        ("2", "-9.095290e-3", "7.6438e-5", "-1.6546e-6", "0"),
        ("3", "1.001685e-4", "-8.2467e-7", "0", "0"),
        ("4", "-1.120083e-6", "5.3875e-9", "0", "0"),
        ("5", "6.536332e-9", "0", "0", "0"),
    ),
    source=sources.SEAWATER_ALGORITHMS,
    where="equation 14, page 17",
    checked=CHECKED,
    status="read",
    note="read in public transcriptions that cite this page, which was not seen; -2 to 40 C, salinity 0 to 42",
)
SCALE_OF_1968 = Published(
    "1.00024", "", source=sources.SEAWATER_ALGORITHMS, where="conversion used with the form", checked=CHECKED,
    status="read", note="t68 = 1.00024 t90; read in a public transcription",
)  # fmt: skip

# Sound speed: 1449.2 + 4.6 t - 0.055 t^2 + 0.00029 t^3 + (1.34 - 0.010 t)(s - 35) + 0.016 z
SOUND_SPEED = Table(
    columns=(("power of t", ""), ("alone", ""), ("s - 35", ""), ("depth", "")),
    rows=(
        ("0", "1449.2", "1.34", "0.016"),
        ("1", "4.6", "-0.010", "0"),
        ("2", "-0.055", "0", "0"),
        ("3", "0.00029", "0", "0"),
    ),
    source=sources.SOUND_SPEED_SHORT,
    where="the equation",
    checked=CHECKED,
    status="read",
    note="read in five public transcriptions that cite the paper; 0 to 35 C, salinity 0 to 45, 0 to 1,000 m",
)


def _atmosphere(value: str, unit: str, where: str) -> Published:
    return Published(value, unit, source=sources.STANDARD_ATMOSPHERE, where=where, checked=CHECKED, status="read",
                     note="read in a program that follows the standard; the standard was not seen")  # fmt: skip


SEA_LEVEL_PRESSURE = _atmosphere("101325", "Pa", "sea level")
SEA_LEVEL_TEMPERATURE_K = _atmosphere("288.15", "", "sea level, kelvin")
LAPSE_RATE = _atmosphere("0.0065", "K/m", "troposphere")
GAS_CONSTANT = _atmosphere("287.05287", "J/(kg K)", "air")
EARTH_RADIUS = _atmosphere("6356766", "m", "for geopotential altitude")
