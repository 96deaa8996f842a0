"""What the vehicle can do here: the facts that say whether it can take the divers' place."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import lru_cache

from opsrisk.assessment.situation import Situation
from opsrisk.engine.inputs import INPUTS, VEHICLE_POSITIONS, Quantity, graded, index_of, quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import (
    Fact,
    given_choice,
    given_quantity,
    not_applicable,
    unknown_choice,
    unknown_quantity,
)
from opsrisk.physics.holding import holding_limit
from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.tether import NotClosed
from opsrisk.reference.units import from_si

OWNED, NOT_OWNED = index_of("vehicle.owned", "yes"), index_of("vehicle.owned", "no")
LIMIT, REACH = "computed.vehicle_current_limit", "computed.vehicle_reach"
DENSITY_KGPM3 = {"fresh": 1000.0, "brackish": 1015.0, "salt": 1025.0, "unknown": 1025.0}  # heavier water pulls harder


def vehicle_facts(situation: Situation, protocol: Protocol, found: Mapping[str, Fact]) -> dict[str, Fact]:
    """Facts for every input about the vehicle and its crew. `found` holds the readings already."""
    item = graded("vehicle.owned")
    owned = situation.has_vehicle
    facts = {item.name: unknown_choice(item) if owned is None else given_choice(item, "yes" if owned else "no")}
    names = [name for name in INPUTS if name.startswith(("vehicle.", "computed.vehicle_")) and name != item.name]
    crew = [
        name for name in INPUTS if name.startswith(tuple(f"positions.{position}." for position in VEHICLE_POSITIONS))
    ]
    if owned is False:
        return facts | {name: not_applicable(name) for name in (*names, *crew)}
    for name in names:
        facts[name] = _fact(situation, protocol, name)
    facts[REACH] = _reach(situation, protocol)
    facts[LIMIT] = _current_limit(situation, protocol, found["readings.depth"])
    return facts


def _fact(situation: Situation, protocol: Protocol, name: str) -> Fact:
    item = INPUTS[name]
    rule = protocol.inputs.get(name)
    if isinstance(item, Quantity):
        given = situation.measured(name)
        if given is None:
            return unknown_quantity(item, rule, "unknown", "not known")
        return given_quantity(item, given, rule)
    choice = situation.choice(name)
    return unknown_choice(item) if choice is None else given_choice(item, choice)


def _reach(situation: Situation, protocol: Protocol) -> Fact:
    """Depth that the tether reaches with the protocol's slack to spare."""
    item = quantity(REACH)
    length = situation.measured("vehicle.tether_length")
    if length is None:
        return unknown_quantity(item, protocol.inputs.get(REACH), "unknown", "tether length not known")
    depth_m = length.value / protocol.settings["tether_reach_ratio"]
    return Fact(REACH, depth_m, depth_m, depth_m, "given", f"{from_si(depth_m, 'm', 1)} m")


def _current_limit(situation: Situation, protocol: Protocol, depth: Fact) -> Fact:
    """The greatest current for station-keeping: the stated limit and the computed one, whichever is less."""
    item = quantity(LIMIT)
    stated = situation.measured("vehicle.current_limit")
    computed = _computed_limit(situation, protocol, depth)
    known = [limit for limit in (stated.value if stated else None, computed) if limit is not None]
    if not known:
        return unknown_quantity(item, protocol.inputs.get(LIMIT), "unknown", "thrust, drag or tether not known")
    limit = min(known)
    return Fact(LIMIT, limit, limit, limit, "given", f"{from_si(limit, 'kn', 2)} kn")


def _computed_limit(situation: Situation, protocol: Protocol, depth: Fact) -> float | None:
    """From thrust, drag and tether at the deeper end of the depth; None if something is not known."""
    parts = [
        situation.measured(f"vehicle.{part}") for part in ("thrust", "drag_area", "tether_diameter", "tether_length")
    ]
    if any(part is None for part in parts) or depth.state != "given":
        return None
    thrust, area, diameter, length = (part.value for part in parts if part)
    out = situation.measured("vehicle.tether_out")
    tether_out = min(out.value, length) if out else length  # not stated: all of it may be out
    water = DENSITY_KGPM3[situation.at("site.water")]
    kit = Kit(
        thrust, area, diameter, tether_out, protocol.settings["tether_normal_drag"], protocol.settings["tether_slack"]
    )
    return _limit_mps(kit, float(depth.worst), water)


@dataclass(frozen=True)
class Kit:
    """The vehicle and its tether as the computation takes them, SI."""

    thrust_n: float
    drag_area_m2: float
    tether_diameter_m: float
    tether_out_m: float
    normal_drag: float
    slack: float


@lru_cache(maxsize=256)
def _limit_mps(kit: Kit, depth_m: float, density_kgpm3: float) -> float:
    """Rounded down to a hundredth, so that server and tablet compare the same number. No shape, no hold."""
    try:
        limit = holding_limit(**asdict(kit), depth_m=depth_m, density_kgpm3=density_kgpm3)
    except (OutOfRange, NotClosed):
        return 0.0
    return int(limit.current_mps * 100) / 100
