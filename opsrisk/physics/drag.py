"""Load of a current on a body, on a line broadside to it, and on a diver: the last as a range only.

Published drag areas of divers differ by a factor of four (reference.drag), so a diver's load is a low
and a high figure to plan line and tender by. It never decides whether a diver may enter: how fast divers
were found to swim does that better, and the protocol's limits rest on those trials.
"""

from dataclasses import dataclass
from typing import Literal

from opsrisk.physics.holding import worst_pull_n
from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.reference import drag as published

Posture = Literal["swimming", "working", "standing"]
Effort = Literal["efficient", "hard", "not for long", "carried away"]

# Nobody measured it in the papers we could read: shoulders and head of a level swimmer, our assumption.
ASSUMED_FRONTAL_AREA_M2 = 0.2
KNOT_PRESSURE_PA = 0.5 * 1025.0 * (1852.0 / 3600.0) ** 2


@dataclass(frozen=True)
class LoadRange:
    """A load in N between what the least and the greatest published drag area give."""

    low_n: float
    high_n: float


def body_drag_n(*, drag_coefficient: float, area_m2: float, speed_mps: float, density_kgpm3: float) -> float:
    """Drag in N of a body: half the density times the coefficient, the area it is based on, and speed squared.

    Valid for any steady flow in which the coefficient was measured. Raises OutOfRange.

    >>> round(body_drag_n(drag_coefficient=0.9, area_m2=0.92903, speed_mps=0.51481, density_kgpm3=1025.0), 1)
    113.6
    """
    within("drag_coefficient", drag_coefficient, 0.0, 5.0, "")
    within("area_m2", area_m2, 0.0, 1000.0, "m2")
    within("speed_mps", speed_mps, 0.0, 10.0, "m/s")
    within("density_kgpm3", density_kgpm3, 1.0, 1040.0, "kg/m3")
    return 0.5 * density_kgpm3 * drag_coefficient * area_m2 * speed_mps**2


def broadside_n(
    *, length_m: float, diameter_m: float, normal_drag: float, speed_mps: float, density_kgpm3: float
) -> float:
    """The textbook load in N of a whole line square to the current. Understates the pull of a taut line."""
    return body_drag_n(
        drag_coefficient=normal_drag, area_m2=length_m * diameter_m, speed_mps=speed_mps, density_kgpm3=density_kgpm3
    )


def diver_drag_area_m2(posture: Posture) -> tuple[float, float]:
    """Low and high drag area (coefficient times area) of a diver in m2.

    Swimming level: from a wind tunnel's coefficient on an assumed frontal area, to a rough published pull.
    Working with knees bent: from that pull to the same author's for bent knees. Standing: from there to
    the coefficient and area of an upright person in air.
    """
    level = published.DIVER_DRAG_PER_DEGREE.si * 15 / (published.DIVER_DRAG_AT_15_DEGREES.si / 100)
    streamlined = published.DIVER_LEVEL_PULL.si / KNOT_PRESSURE_PA
    bent = published.DIVER_BENT_KNEES_PULL.si / KNOT_PRESSURE_PA
    ranges: dict[str, tuple[float, float]] = {
        "swimming": (level * ASSUMED_FRONTAL_AREA_M2, streamlined),
        "working": (streamlined, bent),
        "standing": (bent, published.UPRIGHT_DRAG.si * published.UPRIGHT_AREA.si),
    }
    if posture not in ranges:
        raise OutOfRange("posture", posture, " or ".join(ranges))
    return ranges[posture]


def diver_load(*, posture: Posture, current_mps: float, density_kgpm3: float) -> LoadRange:
    """Load of the current on a diver in N, low and high. Current 0 to 5 m/s; raises OutOfRange.

    >>> load = diver_load(posture="swimming", current_mps=1852 / 3600, density_kgpm3=1025)
    >>> round(load.low_n, 1), round(load.high_n, 1)
    (10.8, 40.0)
    """
    within("current_mps", current_mps, 0.0, 5.0, "m/s")
    within("density_kgpm3", density_kgpm3, 990.0, 1040.0, "kg/m3")
    low, high = diver_drag_area_m2(posture)
    pressure = 0.5 * density_kgpm3 * current_mps**2
    return LoadRange(low * pressure, high * pressure)


def tended_diver_load(
    *,
    posture: Posture,
    current_mps: float,
    density_kgpm3: float,
    line_diameter_m: float,
    line_out_m: float,
    depth_m: float,
) -> LoadRange:
    """Load on a diver and on the tending line together, in N: what the tender and the diver's grip must hold.

    Low: the line streams along the current and pulls nothing. High: the line lies across the current with
    5 percent slack. Ranges and refusals as `diver_load` and `holding.worst_pull_n`.
    """
    diver = diver_load(posture=posture, current_mps=current_mps, density_kgpm3=density_kgpm3)
    pull = worst_pull_n(
        current_mps=current_mps, line_diameter_m=line_diameter_m, line_out_m=line_out_m, depth_m=depth_m,
        density_kgpm3=density_kgpm3,
    )  # fmt: skip
    return LoadRange(diver.low_n, diver.high_n + pull)


def swim_effort(current_mps: float) -> Effort:
    """What swimming against `current_mps` asks of a diver with fins, from published swim trials.

    "efficient" to 0.8 kn, "hard" to 1.0 kn, "not for long" to 1 m/s, then "carried away". Raises OutOfRange.

    >>> swim_effort(0.45)
    'hard'
    """
    within("current_mps", current_mps, 0.0, 10.0, "m/s")
    if current_mps <= published.SWIM_EFFICIENT_TO.si:
        return "efficient"
    if current_mps <= published.SWIM_LIMIT.si:
        return "hard"
    return "not for long" if current_mps <= published.SWIM_TOP.si else "carried away"
