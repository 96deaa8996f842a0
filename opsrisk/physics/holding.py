"""The greatest current in which a vehicle holds its place against its own drag and its tether.

A neutral tether in a uniform current lies in the plane of its chord and the flow, and every force
scales with speed squared and length. So its pull is two numbers that depend only on the slack and on
the angle between chord and flow; a few solved lines then answer every length, depth and direction.
A taut line ACROSS the stream is what stops a vehicle, not distance. Valid for a steady current that is
the same from top to bottom, a line that touches nothing, and thrust that does not fade; surge, a failing
battery and a line caught on something are not in it, and a line caught on anything becomes a taut one.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import acos, cos, degrees, hypot, radians, sin, sqrt

from opsrisk.physics.line import ACCEPTED_DENSITY_KGPM3, ACCEPTED_DIAMETER_M, ACCEPTED_LENGTH_M, Line
from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.physics.tether import hang

FIRST_ANGLE_DEG, ANGLE_STEP_DEG, ANGLES = 45.0, 7.5, 9
MODEL = Line(length_m=100.0, diameter_m=0.01, normal_drag=1.0)
MODEL_DENSITY_KGPM3 = 1000.0
MODEL_LOAD_N = 0.5 * MODEL_DENSITY_KGPM3 * MODEL.normal_drag * MODEL.diameter_m * MODEL.length_m


@dataclass(frozen=True)
class HoldingLimit:
    """The greatest current in m/s at which the vehicle still holds, and what decides it.

    `direction` says where the vehicle lies from the platform when it is worst, or "textbook" where the
    rule of the whole length broadside to the current allows less. `vertical_pull_n` is the lift of the
    line on the vehicle at that current: the vertical thrusters must match it, it is not in the limit.
    `residual_m` is the greatest gap left in the solved lines.
    """

    current_mps: float
    vertical_pull_n: float
    direction: str
    residual_m: float


@dataclass(frozen=True)
class Coefficients:
    """Pull of a neutral line on its vehicle per (1/2 rho Cn D L U^2): along the flow and square to it, by angle."""

    along: tuple[float, ...]
    square: tuple[float, ...]
    residual_m: float


def holding_limit(
    *,
    thrust_n: float,
    drag_area_m2: float,
    tether_diameter_m: float,
    tether_out_m: float,
    depth_m: float,
    density_kgpm3: float,
    normal_drag: float = 1.5,
    tangential_drag: float = 0.01,
    slack: float = 1.05,
) -> HoldingLimit:
    """The greatest current at which `thrust_n` of horizontal thrust holds the vehicle, in the worst direction.

    `drag_area_m2` is the vehicle's drag coefficient times its frontal area; `slack` is tether out over the
    straight distance (1.05: 5 percent more than the distance). `normal_drag` 1.5 is what armoured cable was
    measured at (reference.drag.TOWCABLE_NORMAL_DRAG); 1.2 is the low end of what is published, 2.0 the high.
    Never more than the textbook rule of the whole length broadside allows. Valid for 1 to 1,000 m of tether,
    slack 1.01 to 2, tether at least slack times depth. Raises OutOfRange; NotClosed if no line was found.
    The stated error is 0.2 percent of the tether's pull from the table of angles and 0.5 percent from the line.

    >>> limit = holding_limit(thrust_n=100, drag_area_m2=0.1, tether_diameter_m=0.008, tether_out_m=50, depth_m=10,
    ...                       density_kgpm3=1025, normal_drag=1.2, slack=1.02)
    >>> round(limit.current_mps * 3600 / 1852, 2), limit.direction
    (1.02, 'across')
    """
    _check(thrust_n, drag_area_m2, tether_diameter_m, density_kgpm3)
    _check_tether(tether_out_m, depth_m, normal_drag, tangential_drag, slack)
    pulls = _coefficients(round(slack, 4), round(tangential_drag / normal_drag, 6))
    vehicle = 0.5 * density_kgpm3 * drag_area_m2
    tether = 0.5 * density_kgpm3 * normal_drag * tether_diameter_m * tether_out_m
    worst, lift, bearing = _worst(pulls, vehicle, tether, slack * depth_m / tether_out_m)
    broadside = vehicle + tether
    direction = "textbook" if broadside > worst else _said(bearing)
    current = sqrt(thrust_n / max(worst, broadside))
    return HoldingLimit(current, lift * current * current, direction, pulls.residual_m)


def worst_pull_n(
    *,
    current_mps: float,
    line_diameter_m: float,
    line_out_m: float,
    depth_m: float,
    density_kgpm3: float,
    normal_drag: float = 1.5,
    tangential_drag: float = 0.01,
    slack: float = 1.05,
) -> float:
    """Greatest horizontal pull in N of a neutral line on what it holds at `depth_m`, over all directions.

    Units, ranges and refusals as `holding_limit`; current 0 to 10 m/s.
    """
    within("current_mps", current_mps, 0.0, 10.0, "m/s")
    _check(1.0, 0.0, line_diameter_m, density_kgpm3)
    _check_tether(line_out_m, depth_m, normal_drag, tangential_drag, slack)
    pulls = _coefficients(round(slack, 4), round(tangential_drag / normal_drag, 6))
    line = 0.5 * density_kgpm3 * normal_drag * line_diameter_m * line_out_m
    return _worst(pulls, 0.0, line, slack * depth_m / line_out_m)[0] * current_mps**2


@dataclass(frozen=True)
class Envelope:
    """Holding limits by tether out (rows) and depth (columns); None where the tether does not reach the depth."""

    tether_out_m: tuple[float, ...]
    depths_m: tuple[float, ...]
    limits: tuple[tuple[HoldingLimit | None, ...], ...]


def envelope(
    *,
    thrust_n: float,
    drag_area_m2: float,
    tether_diameter_m: float,
    tether_out_m: tuple[float, ...],
    depths_m: tuple[float, ...],
    density_kgpm3: float,
    normal_drag: float = 1.5,
    tangential_drag: float = 0.01,
    slack: float = 1.05,
) -> Envelope:
    """`holding_limit` for every length and depth. Same units, ranges and refusals; a depth out of reach is None."""
    rows = []
    for out_m in tether_out_m:
        row = []
        for depth_m in depths_m:
            reached = out_m >= slack * depth_m
            limit = holding_limit(
                thrust_n=thrust_n, drag_area_m2=drag_area_m2, tether_diameter_m=tether_diameter_m, tether_out_m=out_m,
                depth_m=depth_m if reached else 0.0, density_kgpm3=density_kgpm3, normal_drag=normal_drag,
                tangential_drag=tangential_drag, slack=slack,
            )  # fmt: skip
            row.append(limit if reached else None)
        rows.append(tuple(row))
    return Envelope(tuple(tether_out_m), tuple(depths_m), tuple(rows))


def _check(thrust_n: float, drag_area_m2: float, diameter_m: float, density_kgpm3: float) -> None:
    within("thrust_n", thrust_n, 0.1, 100_000, "N")
    within("drag_area_m2", drag_area_m2, 0.0, 20, "m2")
    within("tether_diameter_m", diameter_m, *ACCEPTED_DIAMETER_M, "m")
    within("density_kgpm3", density_kgpm3, *ACCEPTED_DENSITY_KGPM3, "kg/m3")


def _check_tether(out_m: float, depth_m: float, normal_drag: float, tangential_drag: float, slack: float) -> None:
    within("normal_drag", normal_drag, 0.05, 4.0, "")
    within("tangential_drag", tangential_drag, 0.0, 0.05 * normal_drag, "")
    within("slack", slack, 1.01, 2.0, "")
    within("depth_m", depth_m, 0.0, 1000.0, "m")
    within("tether_out_m", out_m, *ACCEPTED_LENGTH_M, "m")
    if out_m < slack * depth_m * (1 - 1e-9):
        raise OutOfRange("tether_out_m", out_m, f"at least {slack * depth_m:.4g} m at a depth of {depth_m:g} m")


@lru_cache(maxsize=64)
def _coefficients(slack: float, drag_ratio: float) -> Coefficients:
    """Solved lines for chords from 45 to 105 degrees off the flow (under 90: the vehicle lies up-current).

    Outside that the pull only falls (tests/physics/test_holding.py searches every direction).
    """
    line = Line(MODEL.length_m, MODEL.diameter_m, MODEL.normal_drag, drag_ratio)
    chord = MODEL.length_m / slack
    shapes = []
    for place in range(ANGLES):
        angle = radians(FIRST_ANGLE_DEG + place * ANGLE_STEP_DEG)
        end = (chord * cos(angle), chord * sin(angle), 0.0)
        shapes.append(
            hang(line=line, vehicle_m=(0.0, 0.0, 0.0), platform_m=end, profile=((0.0, 1.0, 0.0),),
                 density_kgpm3=MODEL_DENSITY_KGPM3)
        )  # fmt: skip
    return Coefficients(
        along=tuple(shape.vehicle_pull_n[0] / MODEL_LOAD_N for shape in shapes),
        square=tuple(shape.vehicle_pull_n[1] / MODEL_LOAD_N for shape in shapes),
        residual_m=max(shape.residual_m for shape in shapes),
    )


def _worst(pulls: Coefficients, vehicle: float, tether: float, steepness: float) -> tuple[float, float, float]:
    """Greatest horizontal force and greatest lift at 1 m/s over all directions, and the bearing of the first.

    Bearings run from 0 (the vehicle down-current of the platform) over 90 (across) to 180 (up-current), and only
    those from 60 on can be the worst: further down-current the line holds the vehicle against the stream.
    """
    level = sqrt(max(0.0, 1.0 - steepness * steepness))
    found = []
    for half_degrees in range(120, 361):
        bearing = radians(half_degrees / 2)
        toward = -level * cos(bearing)  # of the chord, vehicle to platform, along the flow
        angle = degrees(acos(toward))
        if angle < FIRST_ANGLE_DEG or angle > FIRST_ANGLE_DEG + (ANGLES - 1) * ANGLE_STEP_DEG:
            continue
        along, square = _between(pulls.along, angle), _between(pulls.square, angle)
        off = sqrt(1.0 - toward * toward)
        sideways = square * level * sin(bearing) / off
        force = hypot(vehicle + tether * along, tether * sideways)
        found.append((force, tether * square * steepness / off, half_degrees / 2))
    greatest = max(found)
    return greatest[0], max(lift for _, lift, _ in found), greatest[2]


def _between(values: tuple[float, ...], angle_deg: float) -> float:
    """A cubic through the four nearest solved angles."""
    place = (angle_deg - FIRST_ANGLE_DEG) / ANGLE_STEP_DEG
    first = min(max(int(place) - 1, 0), ANGLES - 4)
    t = place - first
    a, b, c, d = values[first : first + 4]
    return (
        -a * (t - 1) * (t - 2) * (t - 3) / 6
        + b * t * (t - 2) * (t - 3) / 2
        - c * t * (t - 1) * (t - 3) / 2
        + d * t * (t - 1) * (t - 2) / 6
    )


def _said(bearing_deg: float) -> str:
    if bearing_deg <= 112.5:
        return "across"
    return "across and up-current" if bearing_deg < 157.5 else "up-current"
