"""Where the moon and the sun stand, and what that does to each tidal constituent.

The argument V, node factor f and node angle u of Schureman's manual, evaluated at any instant
instead of once a year. Against a public file of yearly values for 2020 to 2036: V + u within
0.20 degrees for M8 and 0.12 for every constituent up to twice a day, f within 0.0002.
"""

from dataclasses import dataclass
from datetime import UTC, datetime
from math import acos, atan, atan2, cos, degrees, radians, sin, sqrt, tan

from opsrisk.physics.instant import utc
from opsrisk.reference.current import ARGUMENTS, MEAN_LONGITUDES, MOON_INCLINATION_DEG, OBLIQUITY_DEG

EPOCH = datetime(2000, 1, 1, 12, tzinfo=UTC)
HOURS_PER_CENTURY = 36525 * 24


@dataclass(frozen=True)
class Sky:
    """Mean longitudes in degrees, 0 to 360, and the mean sun's hour angle from noon at Greenwich."""

    sun_hour: float
    moon: float
    sun: float
    moon_perigee: float
    moon_node: float
    sun_perigee: float


@dataclass(frozen=True)
class Node:
    """Node factor `f` (no unit) and node angle `u_deg` of one constituent at one instant."""

    f: float
    u_deg: float


def sky(at: datetime) -> Sky:
    """Mean longitudes at `at`. Raises OutOfRange outside 1970 to 2100 or without an offset.

    Source: Meeus, Astronomical Algorithms; linear terms, within 0.01 degrees over the range.
    """
    instant = utc("at", at)
    hours = (instant - EPOCH).total_seconds() / 3600
    turn = {name: (start + rate * hours / HOURS_PER_CENTURY) % 360 for name, (start, rate) in MEAN_LONGITUDES.items()}
    return Sky(sun_hour=(15 * hours) % 360, **turn)


def argument_deg(name: str, where: Sky) -> float:
    """The equilibrium argument V of constituent `name`, degrees, 0 to 360. Raises KeyError if unknown."""
    a = ARGUMENTS[name]
    total = a.sun_hour * where.sun_hour + a.moon * where.moon + a.sun * where.sun + 90 * a.quarter
    return (total + a.moon_perigee * where.moon_perigee + a.sun_perigee * where.sun_perigee) % 360


def speed_deg_per_hour(name: str) -> float:
    """How fast V of constituent `name` turns, degrees an hour. Raises KeyError if unknown.

    >>> round(speed_deg_per_hour("M2"), 6)
    28.984104
    """
    a = ARGUMENTS[name]
    rate = {key: rate / HOURS_PER_CENTURY for key, (_, rate) in MEAN_LONGITUDES.items()}
    total = a.sun_hour * 15 + a.moon * rate["moon"] + a.sun * rate["sun"]
    return total + a.moon_perigee * rate["moon_perigee"] + a.sun_perigee * rate["sun_perigee"]


def node(name: str, formulas: dict[str, Node]) -> Node:
    """f and u of constituent `name` from the instant's `node_formulas`. Raises KeyError if unknown."""
    f, u_deg = 1.0, 0.0
    for formula, power, multiple in ARGUMENTS[name].node:
        f *= formulas[formula].f ** power
        u_deg += formulas[formula].u_deg * multiple
    return Node(f, u_deg)


def node_formulas(where: Sky) -> dict[str, Node]:
    """Every node formula of the manual (equations 73 to 235 as used for its table 14) at one instant."""
    tilt, xi, nu = _moon_orbit(where.moon_node)
    half = tilt / 2
    m2 = Node(cos(half) ** 4 / 0.9154, 2 * xi - 2 * nu)
    o1 = Node(sin(tilt) * cos(half) ** 2 / 0.3800, 2 * xi - nu)
    return {
        "Mm": Node((2 / 3 - sin(tilt) ** 2) / 0.5021, 0),
        "Mf": Node(sin(tilt) ** 2 / 0.1578, -2 * xi),
        "O1": o1,
        "K1": _k1(tilt, nu),
        "J1": Node(sin(2 * tilt) / 0.7214, -nu),
        "OO1": Node(sin(tilt) * sin(half) ** 2 / 0.0164, -2 * xi - nu),
        "M1": _m1(o1, xi, nu, where.moon_perigee),
        "M2": m2,
        "K2": _k2(tilt, nu),
        "L2": _l2(m2, tilt, xi, where.moon_perigee),
    }


def _moon_orbit(node_deg: float) -> tuple[float, float, float]:
    """Inclination I of the moon's orbit to the equator (radians), and xi and nu (degrees)."""
    ascending = radians((node_deg + 180) % 360 - 180)
    obliquity, inclination = radians(OBLIQUITY_DEG), radians(MOON_INCLINATION_DEG)
    tilt = acos(cos(inclination) * cos(obliquity) - sin(inclination) * sin(obliquity) * cos(ascending))
    wide, narrow = (obliquity + inclination) / 2, (obliquity - inclination) / 2
    one = atan(cos(narrow) / cos(wide) * tan(ascending / 2))
    two = atan(sin(narrow) / sin(wide) * tan(ascending / 2))
    return tilt, degrees(ascending - one - two), degrees(one - two)


def _k1(tilt: float, nu_deg: float) -> Node:
    nu = radians(nu_deg)
    f = sqrt(0.8965 * sin(2 * tilt) ** 2 + 0.6001 * sin(2 * tilt) * cos(nu) + 0.1006)
    return Node(f, -degrees(atan2(sin(2 * tilt) * sin(nu), sin(2 * tilt) * cos(nu) + 0.3347)))


def _k2(tilt: float, nu_deg: float) -> Node:
    nu = radians(nu_deg)
    f = sqrt(19.0444 * sin(tilt) ** 4 + 2.7702 * sin(tilt) ** 2 * cos(2 * nu) + 0.0981)
    return Node(f, -degrees(atan2(sin(tilt) ** 2 * sin(2 * nu), sin(tilt) ** 2 * cos(2 * nu) + 0.0727)))


def _l2(m2: Node, tilt: float, xi_deg: float, perigee_deg: float) -> Node:
    p, t = radians(perigee_deg - xi_deg), tan(tilt / 2)
    f = m2.f * sqrt(1 - 12 * t**2 * cos(2 * p) + 36 * t**4)
    return Node(f, m2.u_deg - degrees(atan2(sin(2 * p), 1 / (6 * t**2) - cos(2 * p))))


def _m1(o1: Node, xi_deg: float, nu_deg: float, perigee_deg: float) -> Node:
    p = radians(perigee_deg - xi_deg)
    f = o1.f * sqrt(2.310 + 1.435 * cos(2 * p))
    return Node(f, xi_deg - nu_deg + degrees(atan2(0.483 * sin(p), cos(p))))
