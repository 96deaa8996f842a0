"""How long the gas lasts: demand at depth, task time, turn pressure, shared ascent, bailout.

Rates, reserves and rules belong to the protocol and come in as arguments. Litres are free litres, cylinder
pressures gauge readings (see `cylinder`); a gauge at altitude is off by less than 0.4 bar, which is left out.
"""

from dataclasses import dataclass

from opsrisk.physics.cylinder import Cylinder, free_gas_l, gauge_for_bar, usable_l
from opsrisk.physics.ranges import within
from opsrisk.physics.water import FRESH_KGPM3, SEA_LEVEL_PA, pressure_at_depth_pa

DEEPEST_M = 100.0


@dataclass(frozen=True)
class Water:
    """What surrounds the diver: density in kg/m3 and air pressure at the surface in Pa (less at altitude)."""

    density_kgpm3: float = FRESH_KGPM3
    surface_pa: float = SEA_LEVEL_PA


@dataclass(frozen=True)
class GasPlan:
    """Where to turn: `turn_bar` covers way back, shared ascent and reserve; `task_min` until it is reached.

    `enough` is False where even an immediate turn would eat into the reserve: nobody goes.
    """

    turn_bar: float
    task_min: float
    ascent_l: float
    way_back_l: float
    enough: bool


@dataclass(frozen=True)
class Bailout:
    """What the bailout bottle gives: minutes at depth before the ascent must begin, and the ascent's own minutes."""

    minutes_at_depth: float
    ascent_min: float
    covers_ascent: bool


def demand_lpm(*, rate_lpm: float, depth_m: float, water: Water) -> float:
    """Free litres a minute that a diver draws at `depth_m`, from the rate in litres a minute at the mouth.

    Rate 1 to 300 L/min (free flow), depth 0 to 100 m. Raises OutOfRange.

    >>> round(demand_lpm(rate_lpm=20, depth_m=10, water=Water()), 2)
    39.36
    """
    within("rate_lpm", rate_lpm, 1.0, 300.0, "L/min")
    within("depth_m", depth_m, 0.0, DEEPEST_M, "m")
    ambient = pressure_at_depth_pa(depth_m=depth_m, density_kgpm3=water.density_kgpm3, surface_pa=water.surface_pa)
    return rate_lpm * ambient / SEA_LEVEL_PA


def minutes_at_depth(
    *, cylinder: Cylinder, reserve_bar: float, rate_lpm: float, depth_m: float, water: Water, kept_l: float = 0.0
) -> float:
    """Minutes at `depth_m` until the gauge shows `reserve_bar`, after `kept_l` free litres are set aside (ascent).

    >>> round(minutes_at_depth(cylinder=Cylinder(12, 200), reserve_bar=50, rate_lpm=25, depth_m=12, water=Water()), 1)
    31.9
    """
    within("kept_l", kept_l, 0.0, 1e6, "L")
    gas = usable_l(cylinder, reserve_bar) - kept_l
    return max(0.0, gas / demand_lpm(rate_lpm=rate_lpm, depth_m=depth_m, water=water))


def ascent_gas_l(
    *, depth_m: float, ascent_m_per_min: float, rate_lpm: float, water: Water, sharing: int = 1, delay_min: float = 0.0
) -> float:
    """Free litres from `depth_m` to the surface for `sharing` divers on one supply, after `delay_min` at depth.

    Ascent 1 to 30 m a minute, drawn at the average depth. Raises OutOfRange.
    """
    within("ascent_m_per_min", ascent_m_per_min, 1.0, 30.0, "m/min")
    within("sharing", sharing, 1, 4, "")
    within("delay_min", delay_min, 0.0, 30.0, "min")
    going_up = depth_m / ascent_m_per_min * demand_lpm(rate_lpm=rate_lpm, depth_m=depth_m / 2, water=water)
    return sharing * (going_up + delay_min * demand_lpm(rate_lpm=rate_lpm, depth_m=depth_m, water=water))


def plan_gas(
    *,
    cylinder: Cylinder,
    reserve_bar: float,
    rate_lpm: float,
    depth_m: float,
    water: Water,
    way_back_min: float,
    ascent_l: float,
) -> GasPlan:
    """The turn pressure that leaves way back, `ascent_l` (see `ascent_gas_l`) and reserve, and the time until it.

    The way back (0 to 120 min) is drawn at depth. Raises OutOfRange.
    """
    within("way_back_min", way_back_min, 0.0, 120.0, "min")
    within("ascent_l", ascent_l, 0.0, 1e6, "L")
    demand = demand_lpm(rate_lpm=rate_lpm, depth_m=depth_m, water=water)
    back = way_back_min * demand
    spare = usable_l(cylinder, reserve_bar) - back - ascent_l
    kept = free_gas_l(Cylinder(cylinder.volume_l, reserve_bar, cylinder.temperature_c)) + back + ascent_l
    return GasPlan(gauge_for_bar(cylinder, kept), max(0.0, spare / demand), ascent_l, back, spare >= 0)


def bailout(
    *, cylinder: Cylinder, reserve_bar: float, rate_lpm: float, depth_m: float, water: Water, ascent_m_per_min: float
) -> Bailout:
    """How long a bailout bottle lasts at `depth_m` before the ascent on it must begin. Ranges as `ascent_gas_l`."""
    rising = ascent_gas_l(depth_m=depth_m, ascent_m_per_min=ascent_m_per_min, rate_lpm=rate_lpm, water=water)
    left = usable_l(cylinder, reserve_bar) - rising
    demand = demand_lpm(rate_lpm=rate_lpm, depth_m=depth_m, water=water)
    return Bailout(max(0.0, left / demand), depth_m / ascent_m_per_min, left >= 0)
