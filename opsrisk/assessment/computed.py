"""From a situation to the facts a protocol decides on: every input, given, computed or unknown.

What follows from measurements (does the vehicle hold, is this still a rescue, wind chill, gas) is worked
out here and handed to the engine as readings with bounds, rounded to a stated step so that a server and a
tablet compare the same number. Rounding always goes toward more caution.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from fractions import Fraction
from math import ceil, floor

from opsrisk.assessment.positions import crew_facts, position_facts
from opsrisk.assessment.rescue import rescue_fact
from opsrisk.assessment.situation import Measured, Situation
from opsrisk.assessment.stops import no_stop_fact
from opsrisk.assessment.vehicle import DENSITY_KGPM3, vehicle_facts
from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.conditions import holds, limits
from opsrisk.engine.decide import inputs_read
from opsrisk.engine.inputs import INPUTS, Quantity, quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import (
    Fact,
    given_choice,
    given_quantity,
    not_applicable,
    unknown_choice,
    unknown_quantity,
    values,
)
from opsrisk.physics.cylinder import GREATEST_BAR, Cylinder
from opsrisk.physics.exposure import wind_chill_c
from opsrisk.physics.gas import DEEPEST_M, Water, minutes_at_depth
from opsrisk.reference.units import from_si

# The same gauge means least in a hot cylinder: 2.6 percent less gas than at 10 C. Nobody knows how warm it was, and
# taking the water's temperature would let colder water, which is worse, lengthen the dive.
GAUGE_READ_AT_C = 40.0

Facts = Mapping[str, Fact]


def facts_of(situation: Situation, protocol: Protocol) -> dict[str, Fact]:
    """One fact for every input that `protocol` reads, in the order of the inputs."""
    found: dict[str, Fact] = {}
    for name in INPUTS:
        item = INPUTS[name]
        if name.startswith(("computed.", "positions.", "task.gain", "vehicle.")):
            continue
        if isinstance(item, Quantity):
            found[name] = _reading(situation, protocol, item)
        else:
            given = situation.choice(name)
            found[name] = unknown_choice(item) if given is None else given_choice(item, given)
    if found["hazards.ice_cover"].value == 0:
        found["readings.ice_thickness"] = not_applicable("readings.ice_thickness")
    found |= position_facts(situation)
    found |= crew_facts(situation, protocol)
    found |= vehicle_facts(situation, protocol, found)
    found |= rescue_fact(situation, protocol, found["readings.water_temperature"])
    found |= _weather(found)
    found |= _gas(situation, protocol, found["readings.depth"])
    found |= no_stop_fact(situation, protocol, found["readings.depth"])
    if found["dive.cold_gear"].state == "unknown" and not _matters(protocol, found, "dive.cold_gear"):
        # Not asked, as nothing hangs on it here; but not answered either: margins still take it at its worst.
        found["dive.cold_gear"] = replace(found["dive.cold_gear"], state="not_applicable", shown="not asked")
    # What the protocol names, and the readings that its computed inputs come from.
    read = {*inputs_read(protocol), *(name for name in protocol.inputs if name.startswith("readings."))}
    return {name: found[name] for name in INPUTS if name in read}


def _matters(protocol: Protocol, found: Facts, name: str) -> bool:
    """Whether any rule that names `name` could fire within the bounds of everything else."""
    at_worst = values(found, "worst")
    naming = [rule.when for rule in protocol.rules if name in {limit.input for limit in limits(rule.when)}]
    return any(holds(condition, at_worst, NUMBERS) for condition in naming)


def _reading(situation: Situation, protocol: Protocol, item: Quantity) -> Fact:
    rule = protocol.inputs.get(item.name)
    given = situation.measured(item.name)
    if given is None:
        return unknown_quantity(item, rule, "unknown", "not known")
    if (
        rule
        and rule.valid_minutes is not None
        and expires(given, situation, rule.valid_minutes) < situation.assessed_at
    ):
        return unknown_quantity(item, rule, "stale", f"{given.shown}, too old")
    return given_quantity(item, given, rule)


def expires(given: Measured, situation: Situation, valid_minutes: int) -> datetime:
    """When a reading is too old to decide on; one without a time was taken at the assessment."""
    return (given.at or situation.assessed_at) + timedelta(minutes=valid_minutes)


def rounded(name: str, step: str, ends: tuple[float, float, float], of: tuple[str, ...]) -> Fact:
    """A computed quantity from its (value, best, worst) on a grid of `step` (SI), each rounded toward worse.

    `of` names the readings that it comes from.
    """
    item = quantity(name)
    toward: Callable[[Fraction], int] = ceil if item.worse == "higher" else floor
    grid = Fraction(step)
    on_grid = (float(toward(Fraction(end) / grid) * grid) for end in ends)
    value, best, worst = (min(max(end, item.lowest), item.highest) for end in on_grid)
    return Fact(name, value, best, worst, "given", f"{from_si(value, item.si, item.places)} {item.si}", of=of)


def _weather(found: Facts) -> dict[str, Fact]:
    """Wind chill and heat on the surface crew, warm water on the diver."""
    air, wind, water = (found[f"readings.{name}"] for name in ("air_temperature", "wind_speed", "water_temperature"))
    value, best, worst = (
        wind_chill_c(air_c=a, wind_mps=w)
        for a, w in ((air.value, wind.value), (air.best, wind.best), (air.worst, wind.worst))
    )
    chill = rounded("computed.wind_chill", "0.1", (value, best, worst), of=(air.name, wind.name))
    if "given" not in (air.state, wind.state):
        chill = replace(chill, state="unknown")
    warm = (_other_way("computed.heat", air), _other_way("computed.water_heat", water))
    return {fact.name: fact for fact in (chill, *warm)}


def _other_way(name: str, cold: Fact) -> Fact:
    """The reading `cold` (colder is worse) as heat (hotter is worse); unknown is the worst both ways."""
    hottest, coldest = cold.best, cold.worst
    value = hottest if cold.state != "given" else cold.value
    return Fact(name, value, coldest, hottest, cold.state, cold.shown, of=(cold.name,))


def _gas(situation: Situation, protocol: Protocol, depth: Fact) -> dict[str, Fact]:
    """Minutes of gas at depth after the way out and the reserve; not assessed where no gas was given."""
    name = "computed.gas_minutes"
    if situation.at("dive.gas") == "unknown":
        return {name: not_applicable(name)}
    parts = [situation.measured(f"dive.gas.{part}") for part in ("cylinder_volume", "pressure", "reserve")]
    item = quantity(name)
    if any(part is None for part in parts) or depth.state != "given":
        return {name: unknown_quantity(item, protocol.inputs.get(name), "unknown", "not known")}
    volume, pressure, reserve = (part.value for part in parts if part)
    cylinder = Cylinder(volume, min(pressure, GREATEST_BAR), GAUGE_READ_AT_C)
    water = Water(DENSITY_KGPM3[situation.at("site.water")])
    at_value, at_best, at_worst = (
        _gas_minutes(protocol, cylinder, reserve, water, end) for end in (depth.value, depth.best, depth.worst)
    )
    return {name: rounded(name, "0.1", (at_value, at_best, at_worst), of=(depth.name,))}


def _gas_minutes(protocol: Protocol, cylinder: Cylinder, reserve_bar: float, water: Water, depth_m: float) -> float:
    """Minutes of real gas at depth, at the protocol's rate, reserve and ascent kept back.

    Deeper than the computation was checked for, nothing is counted; nor is what a gauge shows over its range.
    """
    if depth_m > DEEPEST_M:
        return 0.0
    found = minutes_at_depth(
        cylinder=cylinder, reserve_bar=min(reserve_bar, GREATEST_BAR), rate_lpm=protocol.settings["gas_rate"],
        depth_m=float(depth_m), water=water,
    )  # fmt: skip
    return max(0.0, found - protocol.settings["gas_ascent_minutes"])


def unknowns(facts: Facts) -> tuple[Fact, ...]:
    """The facts that nobody knew, or whose reading was too old. Weather is named once, as it was asked."""
    weather = ("computed.wind_chill", "computed.heat", "computed.water_heat")
    return tuple(fact for fact in facts.values() if fact.state in ("unknown", "stale") and fact.name not in weather)
