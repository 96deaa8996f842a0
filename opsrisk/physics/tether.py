"""Shape and pull of a tether that hangs still in a current, fixed at the platform and at the vehicle.

Quasi-static: a steady current, a line at rest, no waves, no bottom and nothing in the way. Drag is
split into a part square to the line and a part along it; the line may be heavy, light or neutral
and may stretch. A first shape by `funicular`, made exact by `shooting`; the gap left at the platform
is checked every time, and a line that does not close is refused, never reported.

Checked against an independent lumped-mass program run to rest (tests/physics/test_against_moordyn.py),
the catenary under its own weight, and the catenary of a line square to a current. What is not in it:
surge, thrust lost to a flat battery, a fouled line, drag raised by vibration (so `normal_drag` is a setting).
"""

from dataclasses import dataclass
from math import inf, sqrt

from opsrisk.physics.funicular import first_guess, solve3
from opsrisk.physics.line import (
    ACCEPTED_DENSITY_KGPM3,
    Line,
    Load,
    Profile,
    Vector,
    checked_profile,
    load_per_metre,
)
from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.physics.shooting import Shot, State, march, shoot

GREATEST_RESIDUAL_M = 1e-3
GOAL_ERROR = 5e-4
FEWEST_STEPS = 48
MOST_STEPS = 1536
# Stepping out from the end with the small tension magnifies every error, and which end that is only
# shows afterwards. With all four attempts 6 of 4,500 wildly drawn lines are refused, and none that a team
# would pay out (docs/measurements/random_lines.py); from the vehicle alone it was several times as many.
ATTEMPTS = ((60, False), (60, True), (240, False), (240, True))


class NotClosed(ArithmeticError):
    """No shape was found that meets the platform within a millimetre: nothing may be said about this line."""

    def __init__(self, residual_m: float) -> None:
        super().__init__(f"the line misses its other end by {residual_m:.3g} m, accepted {GREATEST_RESIDUAL_M} m")
        self.residual_m = residual_m


@dataclass(frozen=True)
class Shape:
    """A line at rest.

    `vehicle_pull_n` is the force of the line on the vehicle, third component down (negative: the line lifts).
    `error_n` is how far any tension may be off by the stepping alone, measured by halving the steps.
    `points_m` run from the vehicle to the platform as (x, y, depth). `residual_m` is the gap left there.
    """

    vehicle_pull_n: Vector
    vehicle_tension_n: float
    platform_tension_n: float
    greatest_tension_n: float
    points_m: tuple[Vector, ...]
    residual_m: float
    error_n: float
    steps: int

    @property
    def deepest_m(self) -> float:
        """Greatest depth of the line in m: where that is below the bottom, the line lies on it and this is wrong."""
        return max(point[2] for point in self.points_m)


def hang(*, line: Line, vehicle_m: Vector, platform_m: Vector, profile: Profile, density_kgpm3: float) -> Shape:
    """The shape of `line` between `vehicle_m` and `platform_m`, both (x, y, depth) in m, in the current `profile`.

    Profile rows are (depth_m, u_mps, v_mps), straight between, constant beyond. Valid for lengths of 1 to
    1,000 m, depths of 0 to 1,000 m, currents up to 10 m/s. Raises OutOfRange (a line too short for its ends,
    a line that nothing pulls on) or NotClosed.

    A line of 100 m square to 0.5 m/s over 90 m, no drag along it, hangs in a catenary with T = q a:

    >>> shape = hang(line=Line(100, 0.008, 1.2, 0.0), vehicle_m=(0, 90, 10), platform_m=(0, 0, 10),
    ...              profile=((0.0, 0.5, 0.0),), density_kgpm3=1000)
    >>> round(shape.vehicle_tension_n, 3)
    67.211
    """
    within("density_kgpm3", density_kgpm3, *ACCEPTED_DENSITY_KGPM3, "kg/m3")
    _check_span(line, vehicle_m, platform_m)
    load = load_per_metre(line, checked_profile(profile), density_kgpm3)
    _check_pulled(load, vehicle_m, platform_m)
    missed = []
    for pieces, backward in ATTEMPTS:
        start, end = (platform_m, vehicle_m) if backward else (vehicle_m, platform_m)
        pull = first_guess(line, load, start, _minus(end, start), pieces)
        shot, error_n = _refined(line, load, start, end, pull)
        if error_n is not None:
            return _shape(shot, error_n, backward)
        missed.append(shot.residual_m)
    raise NotClosed(min(missed))


def _check_span(line: Line, vehicle: Vector, platform: Vector) -> None:
    for name, point in (("vehicle_m", vehicle), ("platform_m", platform)):
        for value, low in zip(point, (-1000.0, -1000.0, 0.0), strict=True):
            within(name, value, low, 1000.0, "m")
    span = _minus(platform, vehicle)
    distance = sqrt(span[0] ** 2 + span[1] ** 2 + span[2] ** 2)
    longest = line.length_m * (0.9995 if line.stiffness_n == inf else 1.02)
    if not 0.01 * line.length_m <= distance <= longest:
        accepted = f"{0.01 * line.length_m:.4g} to {longest:.6g} m for {line.length_m:g} m of line"
        raise OutOfRange("distance between vehicle_m and platform_m", f"{distance:.6g} m", accepted)


def _check_pulled(load: Load, vehicle: Vector, platform: Vector) -> None:
    """Still water and a neutral line leave every shape possible: there is no answer to give."""
    tangents = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    depths = [vehicle[2] + share / 8 * (platform[2] - vehicle[2]) for share in range(9)]
    if all(max(map(abs, load(*t, depth))) < 1e-9 for t in tangents for depth in depths):
        raise OutOfRange("profile", "no current", "a current or a weight, or nothing shapes the line")


def _refined(line: Line, load: Load, start: Vector, end: Vector, pull: Vector) -> tuple[Shot, float | None]:
    """The line with steps so fine that halving them changes no tension by more than 0.05 percent, and that change.

    Gives up, with None for the change, where two step lengths in a row do not close or the steps run out.
    """
    steps = FEWEST_STEPS
    opened = 0
    while True:
        shot = shoot(line, load, start=start, end=end, pull=pull, steps=steps)
        if shot.residual_m <= GREATEST_RESIDUAL_M:
            opened, pull = 0, shot.pull_n
            error_n = _stepping_error(shot, march(line, load, start, pull, 2 * steps))
            if error_n <= GOAL_ERROR * max(_tension(state) for state in shot.states):
                return shot, error_n
        else:
            opened += 1
        if opened == 2 or steps == MOST_STEPS:
            return shot, None
        steps *= 2


def _stepping_error(shot: Shot, finer: list[State]) -> float:
    """What half the step would change: the pull that closes the new gap, and the tension at the platform."""
    end, fine = shot.states[-1], finer[-1]
    moved = solve3(shot.slope, (fine[0] - end[0], fine[1] - end[1], fine[2] - end[2]))
    return max(sqrt(moved[0] ** 2 + moved[1] ** 2 + moved[2] ** 2), abs(_tension(fine) - _tension(end)))


def _shape(shot: Shot, error_n: float, backward: bool) -> Shape:
    """The line told from the vehicle: a line stepped from the platform is turned round, its tension with it."""
    states = shot.states
    if backward:
        states = tuple((x, y, z, -p, -q, -r) for x, y, z, p, q, r in reversed(states))
    return Shape(
        vehicle_pull_n=states[0][3:],
        vehicle_tension_n=_tension(states[0]),
        platform_tension_n=_tension(states[-1]),
        greatest_tension_n=max(_tension(state) for state in states),
        points_m=tuple(state[:3] for state in states),
        residual_m=shot.residual_m,
        error_n=error_n,
        steps=len(states) - 1,
    )


def _minus(a: Vector, b: Vector) -> Vector:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _tension(state: State) -> float:
    return sqrt(state[3] ** 2 + state[4] ** 2 + state[5] ** 2)
