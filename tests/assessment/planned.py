"""One dive at an inlet with everything known, and ways to change it."""

import copy
import json
from typing import Any

from opsrisk.assessment.plan import plan
from opsrisk.protocols.shipped import BASELINE
from tests.house.reading import ROOT

FOLDER = ROOT / "fixtures" / "computations"
SITUATION: dict[str, Any] = json.loads((FOLDER / "plan_situation.json").read_text())
INPUTS: dict[str, Any] = json.loads((FOLDER / "plan_inputs.json").read_text())
PROTOCOL = BASELINE.read_text()


def changed(document: dict[str, Any], changes: dict[str, Any]) -> dict[str, Any]:
    """`document` with entries replaced by dotted path; None removes one."""
    made = copy.deepcopy(document)
    for path, value in changes.items():
        *parents, name = path.split("__")
        at = made
        for parent in parents:
            at = at.setdefault(parent, {})
        at.pop(name, None) if value is None else at.update({name: value})
    return made


def planned(inputs: dict[str, Any] | None = None, protocol: str = PROTOCOL, **changes: Any) -> dict[str, Any]:
    """The plan for the inlet, its situation changed."""
    given = INPUTS if inputs is None else inputs
    return plan(json.dumps(changed(SITUATION, changes)), json.dumps(given), protocol)


def without_inputs(**changes: Any) -> dict[str, Any]:
    return plan(json.dumps(changed(SITUATION, changes)), None, PROTOCOL)


def by_name(document: dict[str, Any], place: str = "numbers") -> dict[str, dict[str, Any]]:
    return {one["computation"]: one for one in document[place]}


def inputs(**changes: Any) -> dict[str, Any]:
    return changed(INPUTS, changes)


def protocol(**changes: Any) -> str:
    return json.dumps(changed(json.loads(PROTOCOL), changes))
