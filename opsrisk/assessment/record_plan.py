"""The plan inside a signed record: the inputs that were given for it and the answer that was printed.

Optional: a record made where no plan could be worked out has none. A sheet is made from the answer as it was signed,
so that it reads the same years later; a server works the plan out again and says where it differs.
"""

from collections.abc import Mapping
from typing import Any

from opsrisk.assessment.computations.refused import Fault
from opsrisk.assessment.plan import FORMAT, plan_of
from opsrisk.assessment.planning.inputs import PlanRefused, read_plan_inputs
from opsrisk.assessment.record import canonical
from opsrisk.assessment.schemas import DIGEST, MOMENT, TEXT, Schema, closed_object, list_of
from opsrisk.assessment.situation import Situation
from opsrisk.engine.parts import Protocol

Json = Mapping[str, Any]
ENTRY = {"computation": str, "title": str}
NUMBER = ENTRY | {"headline": str, "answers": list, "inputs": list, "given": dict, "picture": str}
LISTS: Mapping[str, Mapping[str, type]] = {
    "numbers": NUMBER,
    "missing": ENTRY | {"needs": list},
    "refused": ENTRY | {"reasons": list},
    "warnings": {"computation": str, "text": str},
}
WORDS: Mapping[type, str] = {str: "text", list: "a list", dict: "an object"}


def plan_faults(given: Any, situation: Json) -> list[Fault]:
    """What is wrong with a record's plan, every fault by its field below `plan`."""
    if not isinstance(given, Mapping) or set(given) != {"inputs", "answer"}:
        return [("", str(given)[:60], "an object of inputs and answer")]
    faults: list[Fault] = []
    try:
        read_plan_inputs(given["inputs"])
    except PlanRefused as refused:
        faults += [(f".inputs.{field}", value, accepted) for field, value, accepted in refused.errors]
    answer = given["answer"]
    if not isinstance(answer, Mapping) or answer.get("format") != FORMAT:
        return [*faults, (".answer.format", str(answer)[:60], FORMAT)]
    if answer.get("assessed_at") != situation.get("assessed_at"):
        faults.append((".answer.assessed_at", str(answer.get("assessed_at"))[:60], "the situation's own time"))
    for name, kinds in LISTS.items():
        faults += _list_faults(f".answer.{name}", answer.get(name), kinds)
    return faults


def _list_faults(where: str, given: Any, kinds: Mapping[str, type]) -> list[Fault]:
    if not isinstance(given, list):
        return [(where, str(given)[:60], "a list of objects")]
    faults: list[Fault] = []
    for place, one in enumerate(given):
        found = one if isinstance(one, Mapping) else {}
        faults += [
            (f"{where}[{place}].{name}", str(found.get(name))[:60], WORDS[kind])
            for name, kind in kinds.items()
            if not isinstance(found.get(name), kind)
        ]
    return faults


def plan_differences(recorded: Json, situation: Situation, protocol: Protocol) -> list[str]:
    """The parts of a record's plan that come out otherwise here: `numbers.no_stop`, `missing`, and so on."""
    ours = plan_of(situation, read_plan_inputs(recorded["inputs"]), protocol)
    theirs = recorded["answer"]
    found = []
    for name in sorted(ours.keys() | theirs.keys()):
        if name == "numbers":
            found += _numbers_apart(theirs["numbers"], ours["numbers"])
        elif name not in ours or name not in theirs or canonical(ours[name]) != canonical(theirs[name]):
            found.append(name)
    return found


def _numbers_apart(theirs: list[Json], ours: list[Json]) -> list[str]:
    one, other = ({each["computation"]: each for each in numbers} for numbers in (theirs, ours))
    return [
        f"numbers.{name}"
        for name in sorted(one.keys() | other.keys())
        if name not in one or name not in other or canonical(one[name]) != canonical(other[name])
    ]


def record_plan_schema() -> Schema:
    """The JSON Schema of a record's plan. An older engine's answer may hold more; these are the parts looked up."""
    entry = {"type": "object", "properties": {"computation": TEXT, "title": TEXT}, "required": list(ENTRY)}
    number = entry | {"properties": {**dict.fromkeys(("computation", "title", "headline"), TEXT)}}
    answer = {
        "type": "object",
        "properties": {
            "format": {"const": FORMAT},
            "assessed_at": MOMENT,
            "numbers": list_of(number | {"required": list(NUMBER)}),
            "missing": list_of(entry),
            "refused": list_of(entry),
            "warnings": list_of(closed_object({"computation": TEXT, "text": TEXT})),
            "digest": DIGEST,
        },
        "required": ["format", "assessed_at", *LISTS],
    }
    inputs = {"type": "object", "description": "A document of opsrisk.plan_inputs/1"}
    return closed_object({"inputs": inputs, "answer": answer})
