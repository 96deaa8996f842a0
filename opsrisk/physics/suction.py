"""Pressure difference: the force that holds a body on an opening, and how far off the flow still carries one.

Between the two there is hardly a warning: speed falls with the square of distance, so the water that
feels still three metres off pins a diver at half a metre. Nothing here makes a flow safe to approach:
isolation and lock-out do. The answers serve to see how far to stay away until that is proven.
"""

from dataclasses import dataclass
from math import pi, sqrt

from opsrisk.physics.ranges import within
from opsrisk.physics.water import GRAVITY_MPS2
from opsrisk.reference import drag


@dataclass(frozen=True)
class Opening:
    """An opening with a pressure difference: area in m2, difference in water level (head) in m.

    `contraction` is the flow over the ideal flow: 1 is cautious, a sharp edge has about 0.62.
    """

    area_m2: float
    head_m: float
    density_kgpm3: float = 1000.0
    contraction: float = 1.0

    def __post_init__(self) -> None:
        within("area_m2", self.area_m2, 1e-4, 20.0, "m2")
        within("head_m", self.head_m, 0.0, 100.0, "m")
        within("density_kgpm3", self.density_kgpm3, 990.0, 1040.0, "kg/m3")
        within("contraction", self.contraction, 0.5, 1.0, "")


@dataclass(frozen=True)
class Reach:
    """Distances in m from an opening: inside `carried_m` a swimmer is carried in, inside `felt_m` the flow is felt."""

    carried_m: float
    felt_m: float


def holding_force_n(opening: Opening) -> float:
    """Force in N that holds a body which covers the opening: density x gravity x head x area. Raises OutOfRange.

    >>> round(holding_force_n(Opening(area_m2=0.0507, head_m=15.24)) / 4.4482216)
    1703
    """
    return opening.density_kgpm3 * GRAVITY_MPS2 * opening.head_m * opening.area_m2


def flow_m3ps(opening: Opening) -> float:
    """Flow through the free opening in m3/s: contraction x area x sqrt(2 g head), water at rest on both sides."""
    return opening.contraction * opening.area_m2 * sqrt(2 * GRAVITY_MPS2 * opening.head_m)


def speed_at_mps(*, flow_m3ps: float, distance_m: float) -> float:
    """Speed of the water in m/s at `distance_m` (0.05 to 100 m) from an opening in a wall that takes `flow_m3ps`.

    The flow through a half sphere of that radius: close to a wide opening it says too much, never too little
    (on its axis the true speed is flow / 2 pi (distance^2 + radius^2)). Beside a corner or on a confined
    approach the water comes from fewer sides and is faster: then this says too little. Raises OutOfRange.

    >>> round(speed_at_mps(flow_m3ps=0.5, distance_m=1.0), 3)
    0.08
    """
    within("flow_m3ps", flow_m3ps, 0.0, 500.0, "m3/s")
    within("distance_m", distance_m, 0.05, 100.0, "m")
    return flow_m3ps / (2 * pi * distance_m**2)


def reach(
    *,
    flow_m3ps: float,
    carried_at_mps: float = drag.SWIM_EFFICIENT_TO.si / 2,
    felt_at_mps: float = 0.05,
    sides: float = 1.0,
) -> Reach:
    """How far from an opening with `flow_m3ps` a diver is carried in, and feels the flow at all.

    `carried_at_mps` is by default half the speed that trained swimmers kept up with ease in published trials:
    a diver at work is not swimming. `felt_at_mps` is our own figure. `sides` is the share of the half space that
    water can come from: 1 in the middle of a wall, 0.5 on the bottom at its foot, 0.25 in a corner.
    Any pumped or measured flow may be given instead of `flow_m3ps(opening)`. Raises OutOfRange.
    """
    within("flow_m3ps", flow_m3ps, 0.0, 500.0, "m3/s")
    within("carried_at_mps", carried_at_mps, 0.02, 2.0, "m/s")
    within("felt_at_mps", felt_at_mps, 0.01, carried_at_mps, "m/s")
    within("sides", sides, 0.05, 1.0, "")
    return Reach(
        carried_m=sqrt(flow_m3ps / (2 * pi * sides * carried_at_mps)),
        felt_m=sqrt(flow_m3ps / (2 * pi * sides * felt_at_mps)),
    )
