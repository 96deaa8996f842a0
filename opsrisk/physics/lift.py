"""Lifting an object with bags: weight in water, hold of the mud, air needed at depth, and what breaks loose.

The danger is not the weight but the moment the mud lets go: all the air that was there to break the
hold is suddenly too much, and on the way up it swells. Say `runaway_kg` and `swells` before anybody fills a bag.
"""

from dataclasses import dataclass

from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.physics.water import FRESH_KGPM3, SEA_LEVEL_PA, pressure_at_depth_pa
from opsrisk.reference import lift as published


@dataclass(frozen=True)
class Lift:
    """What a lift takes.

    `weight_kg` in water; `pull_kg` with the mud's hold on top; `air_l` in the bags at depth; `free_air_l` from the
    cylinder, at one atmosphere; `runaway_kg` the lift left over once the mud lets go; `swells` how many times the
    same air is as large at the surface.
    """

    weight_kg: float
    pull_kg: float
    air_l: float
    free_air_l: float
    runaway_kg: float
    swells: float


def displaced_l(*, mass_kg: float, material: str) -> float:
    """Litres that `mass_kg` of a solid material displaces (densities: reference.lift). Raises OutOfRange.

    >>> round(displaced_l(mass_kg=785, material="steel"), 1)
    100.0
    """
    within("mass_kg", mass_kg, 0.0, 50_000.0, "kg")
    if material not in published.DENSITIES:
        raise OutOfRange("material", material, ", ".join(sorted(published.DENSITIES)))
    return 1000 * mass_kg / published.DENSITIES[material].si


def plan_lift(
    *,
    mass_kg: float,
    displaced_l: float,
    depth_m: float,
    density_kgpm3: float = FRESH_KGPM3,
    surface_pa: float = SEA_LEVEL_PA,
    mud_share: float = 0.0,
    bag_kg: float = 0.0,
) -> Lift:
    """What it takes to raise an object of `mass_kg` that displaces `displaced_l`, from `depth_m` (0 to 100 m).

    `mud_share` is the hold of the bottom as a share of the weight in water, 0 on rock to 10 and more in deep
    mud: nobody measured it for you, so plan to loosen the object instead. `bag_kg` is the bags' own weight in
    water. Archimedes for the pull, Boyle for the air. An object that floats needs no lift: OutOfRange.

    >>> lift = plan_lift(mass_kg=50, displaced_l=20, depth_m=10, density_kgpm3=1030)
    >>> round(lift.weight_kg, 1), round(lift.air_l, 1)
    (29.4, 28.5)
    """
    within("mass_kg", mass_kg, 0.1, 50_000.0, "kg")
    within("density_kgpm3", density_kgpm3, 990.0, 1040.0, "kg/m3")
    within("displaced_l", displaced_l, 0.0, 1000 * mass_kg / density_kgpm3, "L")
    within("depth_m", depth_m, 0.0, 100.0, "m")
    within("mud_share", mud_share, 0.0, 20.0, "")
    within("bag_kg", bag_kg, 0.0, 500.0, "kg")
    weight = mass_kg - density_kgpm3 * displaced_l / 1000
    pull = weight * (1 + mud_share) + bag_kg
    air = 1000 * pull / density_kgpm3
    swells = pressure_at_depth_pa(depth_m=depth_m, density_kgpm3=density_kgpm3, surface_pa=surface_pa) / surface_pa
    return Lift(
        weight_kg=weight,
        pull_kg=pull,
        air_l=air,
        free_air_l=air * swells * surface_pa / SEA_LEVEL_PA,
        runaway_kg=weight * mud_share,
        swells=swells,
    )


def bag_lift_kg(*, air_l: float, from_depth_m: float, to_depth_m: float, bag_l: float, density_kgpm3: float) -> float:
    """Lift in kg of a bag of `bag_l` litres, given `air_l` at one depth and risen to another: it spills when full.

    Depths 0 to 100 m, not deeper than where it was filled. Raises OutOfRange.

    >>> round(bag_lift_kg(air_l=50, from_depth_m=10, to_depth_m=0, bag_l=200, density_kgpm3=1000), 1)
    98.4
    """
    within("bag_l", bag_l, 0.1, 50_000.0, "L")
    within("air_l", air_l, 0.0, bag_l, "L")
    within("from_depth_m", from_depth_m, 0.0, 100.0, "m")
    within("to_depth_m", to_depth_m, 0.0, from_depth_m, "m")
    before = pressure_at_depth_pa(depth_m=from_depth_m, density_kgpm3=density_kgpm3)
    after = pressure_at_depth_pa(depth_m=to_depth_m, density_kgpm3=density_kgpm3)
    return min(bag_l, air_l * before / after) * density_kgpm3 / 1000
