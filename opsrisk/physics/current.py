"""Measuring the current with a float, and how it falls off towards the bottom."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, log, radians, sin, sqrt
from statistics import mean, stdev

from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.reference.current import FLOAT_COEFFICIENT

FASTEST_MPS = 8.0
REACTION_S = 0.5  # stopwatch by hand at both ends
TAPE_SHARE = 0.02  # a line laid along a bank, not along the stream
# Mean over surface speed by the log law, for gravel of 2 mm in 10 m of water to cobbles of 100 mm in 1 m.
ROUGHEST_COEFFICIENT, SMOOTHEST_COEFFICIENT = 0.82, 0.92
# Two-sided 95 % of Student's t for 1 to 10 degrees of freedom; beyond, the last is kept, which is on the wide side.
STUDENT = (12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228)


@dataclass(frozen=True)
class FloatRun:
    """One float over a distance (m) in a time (s); where it went, degrees true, or None if nobody looked."""

    distance_m: float
    seconds: float
    direction_deg: float | None = None


@dataclass(frozen=True)
class FloatSpeed:
    """The current from float runs, m/s.

    `surface_mps` with its bounds is what a diver at or near the surface meets. `mean_mps` over the whole
    depth is the surface speed times the float coefficient: never use it for a diver near the surface.
    `spread_mps` is the standard deviation of the runs, None for a single one, whose bounds then hold
    only the error of tape and watch.
    """

    runs: int
    surface_mps: float
    low_mps: float
    high_mps: float
    spread_mps: float | None
    mean_mps: float
    direction_deg: float | None


def float_speed(runs: Sequence[FloatRun]) -> FloatSpeed:
    """Speed, bounds and direction from one or more float runs.

    The bounds hold the slowest and the fastest run, and the 95 % interval of the mean together with the
    error of tape and watch. On simulated runs they hold the true mean in 95 % or more.
    Raises OutOfRange for no run, distances outside 1 to 500 m, times outside 2 to 3600 s (2 s cannot be
    stopped by hand), speeds over 8 m/s or directions outside 0 to 360.

    >>> float_speed([FloatRun(10, 20), FloatRun(10, 25), FloatRun(10, 22)]).surface_mps.__round__(3)
    0.452
    """
    if not runs:
        raise OutOfRange("runs", 0, "at least one")
    speeds = [_speed(run) for run in runs]
    middle = mean(speeds)
    reading = max(speed * (TAPE_SHARE + 2 * REACTION_S / run.seconds) for speed, run in zip(speeds, runs, strict=True))
    spread = stdev(speeds) if len(speeds) > 1 else None
    scatter = 0.0 if spread is None else _student(len(speeds)) * spread / sqrt(len(speeds))
    doubt = hypot(reading, scatter)  # the tape is wrong by the same in every run: more runs do not cure it
    return FloatSpeed(
        runs=len(speeds),
        surface_mps=middle,
        low_mps=max(0.0, min([*speeds, middle - doubt])),
        high_mps=max([*speeds, middle + doubt]),
        spread_mps=spread,
        mean_mps=middle * FLOAT_COEFFICIENT.si,
        direction_deg=_mean_direction([run.direction_deg for run in runs if run.direction_deg is not None]),
    )


def _speed(run: FloatRun) -> float:
    within("distance_m", run.distance_m, 1, 500, "m")
    within("seconds", run.seconds, 2, 3600, "s")
    return within("runs", run.distance_m / run.seconds, 0, FASTEST_MPS, "m/s")


def _student(runs: int) -> float:
    return STUDENT[min(runs - 1, len(STUDENT)) - 1]


def _mean_direction(directions: Sequence[float]) -> float | None:
    """Mean of directions on the circle; None for none, or for ones that cancel out."""
    turns = [radians(within("direction_deg", direction, 0, 360, "degrees")) for direction in directions]
    east, north = sum(sin(turn) for turn in turns), sum(cos(turn) for turn in turns)
    if not turns or hypot(east, north) < 0.5 * len(turns):
        return None
    return degrees(atan2(east, north)) % 360


@dataclass(frozen=True)
class SpeedAtDepth:
    """Speed at a depth, m/s, from the speed at the surface, with the range of published profiles."""

    speed_mps: float
    low_mps: float
    high_mps: float


def speed_at_depth(*, surface_mps: float, depth_m: float, total_depth_m: float) -> SpeedAtDepth:
    """Speed `depth_m` below the surface in water `total_depth_m` deep, by a power law.

    v = surface (height above bottom / total depth)^(1/m), with m from the float coefficient k = m / (m + 1):
    0.85 in the middle, 0.82 to 0.92 at the ends (the log law over rough and smooth beds). For steady
    flow in open channels; wind, stratified or tidal water turns round and may run fastest below.
    Raises OutOfRange for speeds outside 0 to 8 m/s or depths outside 0 to 300 m or below the bottom.
    """
    within("surface_mps", surface_mps, 0, FASTEST_MPS, "m/s")
    within("total_depth_m", total_depth_m, 0.1, 300, "m")
    within("depth_m", depth_m, 0, total_depth_m, "m")
    share = 1 - depth_m / total_depth_m

    def at(coefficient: float) -> float:
        return float(surface_mps * share ** (1 / power_of(coefficient)))

    return SpeedAtDepth(at(FLOAT_COEFFICIENT.si), at(ROUGHEST_COEFFICIENT), at(SMOOTHEST_COEFFICIENT))


def power_of(coefficient: float) -> float:
    """The m of the power law whose mean over depth is `coefficient` times the surface speed (0.5 to 0.99).

    >>> round(power_of(0.875), 6)
    7.0
    """
    within("coefficient", coefficient, 0.5, 0.99, "")
    return coefficient / (1 - coefficient)


def log_law_coefficient(*, depth_m: float, roughness_m: float) -> float:
    """Mean over surface speed for a logarithmic profile: 1 - 1 / ln(depth / roughness length).

    A second profile to judge the power law by. `roughness_m` is the length z0 at which the speed is zero,
    about a thirtieth of the grain size. Raises OutOfRange unless the depth is at least 20 times z0.
    """
    within("depth_m", depth_m, 0.1, 300, "m")
    within("roughness_m", roughness_m, 1e-6, depth_m / 20, "m")
    return 1 - 1 / log(depth_m / roughness_m)
