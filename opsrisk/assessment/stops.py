"""No-stop time for the decision: only where the protocol carries the agency's adoption of the tables."""

from datetime import date
from math import floor

from opsrisk.assessment.situation import Situation
from opsrisk.engine.inputs import quantity
from opsrisk.engine.parts import Protocol, TablesAdopted
from opsrisk.engine.readings import Fact, not_applicable, unknown_quantity
from opsrisk.physics.no_stop import Adoption, TablesNotAdopted, no_stop
from opsrisk.physics.ranges import OutOfRange
from opsrisk.reference.units import to_si

NAME = "computed.no_stop_minutes"
FOOT_M = to_si(1, "ft")
GUARD_FT = 1e-6  # 60 ft must not become 60.00000001 and the next row


def no_stop_fact(situation: Situation, protocol: Protocol, depth: Fact) -> dict[str, Fact]:
    """Minutes at the bounds of the depth; not assessed without an adoption, none at all beyond the tables.

    The tables as they stand must be those that were adopted. Earlier dives are in no situation: where the list of
    people says that this diver made some, or does not say, the time is not known and is taken as none.
    """
    adopted, item = protocol.no_stop_adoption, quantity(NAME)
    if adopted is None:
        return {NAME: not_applicable(NAME)}
    rule = protocol.inputs.get(NAME)
    if depth.state != "given" or _dived_before(situation):
        return {NAME: unknown_quantity(item, rule, "unknown", "not known")}
    try:
        value, best, worst = (
            _minutes(situation, adopted, float(end)) for end in (depth.value, depth.best, depth.worst)
        )
    except TablesNotAdopted:
        return {NAME: unknown_quantity(item, rule, "unknown", "the adopted tables are not these")}
    return {NAME: Fact(NAME, value, best, worst, "given", f"{value:.0f} min", of=(depth.name,))}


def _dived_before(situation: Situation) -> bool:
    """Whether the named diver dived in the last 24 hours, or may have; without a list nobody is asked."""
    people = situation.at("people")
    if not isinstance(people, list):
        return False
    listed = {person["id"]: person for person in people}
    diver = listed.get(situation.at("positions.diver.person"), {})
    return diver.get("dives_24h", "unknown") == "unknown" or float(diver["dives_24h"]) > 0


def _minutes(situation: Situation, adopted: TablesAdopted, depth_m: float) -> float:
    """Whole minutes without stops; none where the tables end."""
    altitude = situation.measured("site.altitude")
    altitude_m = adopted.altitude_m if altitude is None else altitude.value
    try:
        found = no_stop(
            depth_fsw=max(0.0, depth_m / FOOT_M - GUARD_FT),
            altitude_ft=max(0.0, altitude_m / FOOT_M - GUARD_FT),
            adoption=Adoption(adopted.person, date.fromisoformat(adopted.on), adopted.digest),
        )
    except OutOfRange:
        return 0.0
    return float(floor(found.left_min)) if found.left_min is not None else quantity(NAME).highest
