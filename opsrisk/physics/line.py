"""What a line is, what water does to one metre of it, and how the current varies with depth.

Axes everywhere in the tether computation: x and y horizontal in any two square directions the
caller likes, the third axis DEPTH, positive down, zero at the surface. Metres, newtons, m/s.
"""

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import inf, pi, sqrt

from opsrisk.physics.ranges import OutOfRange, within

Vector = tuple[float, float, float]
Profile = tuple[tuple[float, float, float], ...]
Load = Callable[[float, float, float, float], Vector]

ACCEPTED_LENGTH_M = (1.0, 1000.0)
ACCEPTED_DIAMETER_M = (0.001, 0.1)
ACCEPTED_DENSITY_KGPM3 = (990.0, 1040.0)
GREATEST_SPEED_MPS = 10.0


@dataclass(frozen=True)
class Line:
    """A flexible line: length as paid out, and what makes it feel the water.

    `normal_drag` is on diameter times length, `tangential_drag` on the surface (pi times diameter
    times length). `weight_npm` is its weight in water, per metre: positive sinks, negative floats.
    `stiffness_n` is the force that would double its length (EA); infinite for a line that does not stretch.
    """

    length_m: float
    diameter_m: float
    normal_drag: float = 1.5
    tangential_drag: float = 0.01
    weight_npm: float = 0.0
    stiffness_n: float = inf

    def __post_init__(self) -> None:
        within("length_m", self.length_m, *ACCEPTED_LENGTH_M, "m")
        within("diameter_m", self.diameter_m, *ACCEPTED_DIAMETER_M, "m")
        within("normal_drag", self.normal_drag, 0.05, 4.0, "")
        within("tangential_drag", self.tangential_drag, 0.0, 0.2, "")
        within("weight_npm", self.weight_npm, -50.0, 50.0, "N/m")
        if not self.stiffness_n >= 1000.0:
            raise OutOfRange("stiffness_n", self.stiffness_n, "1000 N or more, or infinite")


def checked_profile(profile: Profile) -> Profile:
    """`profile` if it is (depth_m, u_mps, v_mps) from shallow to deep, every speed up to 10 m/s; else OutOfRange."""
    if not profile:
        raise OutOfRange("profile", profile, "at least one (depth_m, u_mps, v_mps)")
    for depth_m, u_mps, v_mps in profile:
        within("profile depth_m", depth_m, 0.0, 1000.0, "m")
        within("profile u_mps", u_mps, -GREATEST_SPEED_MPS, GREATEST_SPEED_MPS, "m/s")
        within("profile v_mps", v_mps, -GREATEST_SPEED_MPS, GREATEST_SPEED_MPS, "m/s")
    depths = [row[0] for row in profile]
    if any(below <= above for above, below in pairwise(depths)):
        raise OutOfRange("profile", tuple(depths), "depths that increase from row to row")
    return profile


def current_at(profile: Profile) -> Callable[[float], tuple[float, float]]:
    """The current (u, v) in m/s at a depth in metres: straight between rows, constant beyond the first and last.

    >>> current_at(((0.0, 0.8, 0.0), (10.0, 0.4, 0.2)))(5.0)
    (0.6000000000000001, 0.1)
    """
    depths = [row[0] for row in profile]
    speeds = [(row[1], row[2]) for row in profile]
    if len(profile) == 1:
        return lambda depth_m: speeds[0]

    def between(depth_m: float) -> tuple[float, float]:
        if depth_m <= depths[0]:
            return speeds[0]
        if depth_m >= depths[-1]:
            return speeds[-1]
        below = bisect_right(depths, depth_m)
        share = (depth_m - depths[below - 1]) / (depths[below] - depths[below - 1])
        (u0, v0), (u1, v1) = speeds[below - 1], speeds[below]
        return u0 + share * (u1 - u0), v0 + share * (v1 - v0)

    return between


def load_per_metre(line: Line, profile: Profile, density_kgpm3: float) -> Load:
    """The force of water and weight on one metre of `line`, as a function of its unit tangent and depth.

    The usual split: with un the part of the current square to the line and ut the part along it,
    drag = 1/2 rho Cn D |un| un + 1/2 rho Ct (pi D) |ut| ut, per unstretched metre. Weight acts along
    the third axis (down). Returns newtons per metre.
    """
    across = 0.5 * density_kgpm3 * line.normal_drag * line.diameter_m
    along = 0.5 * density_kgpm3 * line.tangential_drag * pi * line.diameter_m
    weight = line.weight_npm
    current = current_at(profile)

    def load(tx: float, ty: float, tz: float, depth_m: float) -> Vector:
        u, v = current(depth_m)
        tangential = u * tx + v * ty
        nx, ny, nz = u - tangential * tx, v - tangential * ty, -tangential * tz
        a = across * sqrt(nx * nx + ny * ny + nz * nz)
        b = along * abs(tangential) * tangential
        return a * nx + b * tx, a * ny + b * ty, a * nz + b * tz + weight

    return load
