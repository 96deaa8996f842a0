"""The example input of every computation, and ways to change it."""

import copy
import json
from typing import Any

from opsrisk.assessment.computations.registry import COMPUTATIONS, compute
from opsrisk.assessment.fields import Measure
from opsrisk.physics.no_stop import DIGEST
from tests.house.reading import ROOT

EXAMPLES: dict[str, dict[str, Any]] = json.loads((ROOT / "fixtures" / "computations" / "examples.json").read_text())
ADOPTED = {"person": "Inez Corrow", "on": "2026-11-25", "digest": DIGEST}


def example(name: str, **changes: Any) -> dict[str, Any]:
    """The example input of `name`, with an adoption where one is asked for; a change of None removes a field."""
    made = copy.deepcopy(EXAMPLES[name])
    if any(one.name == "adoption" for one in COMPUTATIONS[name].asks):
        made["adoption"] = ADOPTED
    for field, value in changes.items():
        made.pop(field, None) if value is None else made.update({field: value})
    return made


def answers(name: str, given: dict[str, Any] | None = None, **changes: Any) -> dict[str, dict[str, Any]]:
    """The answers of `name` to its example, by their names."""
    found = compute(name, json.dumps(example(name, **changes) if given is None else given))
    return {one["name"]: one for one in found["answers"]}


def value(name: str, answer: str, **changes: Any) -> Any:
    return answers(name, **changes)[answer]["value"]


def q(amount: Any, unit: str, **bounds: Any) -> dict[str, Any]:
    return {"value": str(amount), "unit": unit, **{end: str(bound) for end, bound in bounds.items()}}


def measures() -> list[tuple[str, str, Measure]]:
    """Every quantity that any computation asks for directly."""
    return [
        (entry.name, one.name, one.shape)
        for entry in COMPUTATIONS.values()
        for one in entry.asks
        if isinstance(one.shape, Measure)
    ]
