"""Who stands where: positions as stated, checked against the people where a list of them is given."""

from fractions import Fraction

from opsrisk.assessment.crew import Limits, check_positions
from opsrisk.assessment.situation import Situation
from opsrisk.engine.inputs import POSITIONS, STATES, graded, quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Fact, given_choice, not_applicable, unknown_choice, unknown_quantity
from opsrisk.reference.units import decimal_string, to_si

IN_DIVING_POSITIONS = ("supervisor", "diver", "standby_diver", "diver_tender", "standby_tender")
PERSONAL = {"computed.hours_awake": ("hours_awake", "h"), "computed.dives_24h": ("dives_24h", "")}


def position_facts(situation: Situation) -> dict[str, Fact]:
    """Every state of every position: as stated, made worse where the list of people contradicts it."""
    stated = situation.at("positions")
    positions = stated if isinstance(stated, dict) else {}
    people = situation.at("people")
    # Hours awake and dives have rules of their own; here a list only shows who is named twice, unfit or unqualified.
    checked = check_positions(positions, people, Limits()) if isinstance(people, list) else {}
    facts = {}
    for position in POSITIONS:
        for state in STATES:
            name = f"positions.{position}.{state}"
            item = graded(name)
            given = getattr(checked[position], state) if position in checked else situation.at(name)
            facts[name] = unknown_choice(item) if given == "unknown" else given_choice(item, given)
    return facts


def crew_facts(situation: Situation, protocol: Protocol) -> dict[str, Fact]:
    """The longest time awake and the most dives among those in diving positions; not assessed without a list.

    Somebody fills a position, or may do, but is not named or not in the list: then nobody knows how long they are
    awake.
    """
    people = situation.at("people")
    if not isinstance(people, list):
        return {name: not_applicable(name) for name in PERSONAL}
    listed = {person["id"]: person for person in people}
    filled = [each for each in IN_DIVING_POSITIONS if situation.at(f"positions.{each}.filled") != "no"]
    crew = [listed.get(situation.at(f"positions.{position}.person"), {}) for position in filled]
    return {name: _most(name, crew, *PERSONAL[name], protocol) for name in PERSONAL}


def _most(name: str, people: list[dict[str, str]], field: str, unit: str, protocol: Protocol) -> Fact:
    item = quantity(name)
    given = [person.get(field, "unknown") for person in people]
    if not given or "unknown" in given:
        return unknown_quantity(
            item, protocol.inputs.get(name), "unknown", "not known of everyone in a diving position"
        )
    most = max(given, key=Fraction)
    value = to_si(most, unit)
    return Fact(
        name, value, value, value, "given", f"{decimal_string(Fraction(most), 1 if unit else 0)} {unit}".strip()
    )
