"""Tidal constituents and the coefficients of a float: what is published about moving water.

A constituent is a row of whole numbers: how often the mean longitudes of the sky enter its
argument V. T is the hour angle of the mean sun counted from noon (so 180 degrees at midnight),
s the mean longitude of the moon, h of the sun, p of the moon's perigee, p1 of the sun's; `quarter`
counts quarter turns. `node` names the formula of its node factor f and angle u, as powers: M4
takes f(M2) squared and twice u(M2), 2SM2 takes f(M2) and minus u(M2).

M3, the moon's third-of-a-day term, follows from the potential: the sectorial term of third degree
is proportional to the cosine of three times the moon's hour angle T - s + h, so its argument is
3T - 3s + 3h with no quarter turn, one and a half times the argument of M2. One public predictor
turns it by half; two other sources and the first principle do not, and neither do we.

M1 is the published compromise of two terms: T - s + h - 90 degrees, with u = xi - nu + Q.
Yearly tables take V on 1 January and u at midyear, which leaves M1 ahead by half a year of the
perigee (20.3 degrees) all year long. We evaluate both at the same instant. M1 is at most
0.18 kn at any of the stations known to the tool, typically 0.02 kn.
"""

from dataclasses import dataclass
from datetime import date

from opsrisk.reference.sources import FLOAT_CALCULATOR, HARMONIC_MANUAL, OPEN_CHANNEL_STANDARD, YEARLY_TIDE_FILE
from opsrisk.reference.value import Published


@dataclass(frozen=True)
class Argument:
    """One constituent's argument: multiples of T, s, h, p, p1, quarter turns, node formula with powers."""

    sun_hour: int
    moon: int
    sun: int
    moon_perigee: int
    sun_perigee: int
    quarter: int
    node: tuple[tuple[str, float, float], ...]  # (formula, power of f, multiple of u)


PLAIN: tuple[tuple[str, float, float], ...] = ()


def _like(formula: str, times: float = 1, turns: float | None = None) -> tuple[tuple[str, float, float], ...]:
    return ((formula, times, times if turns is None else turns),)


# Tables 2 and 2a of the manual. The document itself was not seen: every row was compared with a public file of
# yearly equilibrium arguments and node factors (tests/physics/test_tides_yearly_file.py).
ARGUMENTS_SOURCE = HARMONIC_MANUAL
ARGUMENTS_COMPARED_WITH = YEARLY_TIDE_FILE
ARGUMENTS_CHECKED = date(2026, 11, 25)
ARGUMENTS: dict[str, Argument] = {
    "SA": Argument(0, 0, 1, 0, 0, 0, PLAIN),
    "SSA": Argument(0, 0, 2, 0, 0, 0, PLAIN),
    "MM": Argument(0, 1, 0, -1, 0, 0, _like("Mm")),
    "MSF": Argument(0, 2, -2, 0, 0, 0, _like("M2", 1, -1)),
    "MF": Argument(0, 2, 0, 0, 0, 0, _like("Mf")),
    "2Q1": Argument(1, -4, 1, 2, 0, 1, _like("O1")),
    "Q1": Argument(1, -3, 1, 1, 0, 1, _like("O1")),
    "RHO": Argument(1, -3, 3, -1, 0, 1, _like("O1")),
    "O1": Argument(1, -2, 1, 0, 0, 1, _like("O1")),
    "M1": Argument(1, -1, 1, 0, 0, -1, _like("M1")),
    "P1": Argument(1, 0, -1, 0, 0, 1, PLAIN),
    "S1": Argument(1, 0, 0, 0, 0, 0, PLAIN),
    "K1": Argument(1, 0, 1, 0, 0, -1, _like("K1")),
    "J1": Argument(1, 1, 1, -1, 0, -1, _like("J1")),
    "OO1": Argument(1, 2, 1, 0, 0, -1, _like("OO1")),
    "2N2": Argument(2, -4, 2, 2, 0, 0, _like("M2")),
    "MU2": Argument(2, -4, 4, 0, 0, 0, _like("M2")),
    "N2": Argument(2, -3, 2, 1, 0, 0, _like("M2")),
    "NU2": Argument(2, -3, 4, -1, 0, 0, _like("M2")),
    "M2": Argument(2, -2, 2, 0, 0, 0, _like("M2")),
    "LAM2": Argument(2, -1, 0, 1, 0, 2, _like("M2")),
    "L2": Argument(2, -1, 2, -1, 0, 2, _like("L2")),
    "T2": Argument(2, 0, -1, 0, 1, 0, PLAIN),
    "S2": Argument(2, 0, 0, 0, 0, 0, PLAIN),
    "R2": Argument(2, 0, 1, 0, -1, 2, PLAIN),
    "K2": Argument(2, 0, 2, 0, 0, 0, _like("K2")),
    "2SM2": Argument(2, 2, -2, 0, 0, 0, _like("M2", 1, -1)),
    "2MK3": Argument(3, -4, 3, 0, 0, 1, (("M2", 2, 2), ("K1", 1, -1))),
    "M3": Argument(3, -3, 3, 0, 0, 0, _like("M2", 1.5)),
    "MK3": Argument(3, -2, 3, 0, 0, -1, (("M2", 1, 1), ("K1", 1, 1))),
    "MN4": Argument(4, -5, 4, 1, 0, 0, _like("M2", 2)),
    "M4": Argument(4, -4, 4, 0, 0, 0, _like("M2", 2)),
    "MS4": Argument(4, -2, 2, 0, 0, 0, _like("M2")),
    "S4": Argument(4, 0, 0, 0, 0, 0, PLAIN),
    "M6": Argument(6, -6, 6, 0, 0, 0, _like("M2", 3)),
    "S6": Argument(6, 0, 0, 0, 0, 0, PLAIN),
    "M8": Argument(8, -8, 8, 0, 0, 0, _like("M2", 4)),
}

# Mean longitudes at 12:00 on 1 January 2000: degrees, then degrees in a Julian century (Meeus,
# Astronomical Algorithms, chapters 22, 25 and 47, linear terms; the rest is under 0.01 degrees until 2100).
MEAN_LONGITUDES: dict[str, tuple[float, float]] = {
    "moon": (218.3164477, 481267.88123421),
    "sun": (280.46646, 36000.76983),
    "moon_perigee": (83.3532465, 4069.0137287),
    "moon_node": (125.04452, -1934.136261),
    "sun_perigee": (282.93735, 1.71946),
}

# The manual's constants of 1 January 1900, which its node factors are built on: degrees.
OBLIQUITY_DEG = 23.452
MOON_INCLINATION_DEG = 5.145

FLOAT_COEFFICIENT = Published(
    "0.85",
    "",
    source=FLOAT_CALCULATOR,
    where="mean velocity from a surface float",
    checked=date(2026, 11, 25),
    status="read",
    note="read at second hand: 2.62 m/s at the surface becomes 2.227 m/s; that page allows 10 to 20 % either way",
)
FLOAT_COEFFICIENT_LOW = Published(
    "0.84", "", source=OPEN_CHANNEL_STANDARD, where="surface floats", checked=None, status="memory"
)
FLOAT_COEFFICIENT_HIGH = Published(
    "0.90", "", source=OPEN_CHANNEL_STANDARD, where="surface floats", checked=None, status="memory"
)
