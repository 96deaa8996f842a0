"""The plan's own inputs: what a situation does not hold, by subject, each as strictly read as a computation's."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from opsrisk.assessment.computations.describe import input_schema
from opsrisk.assessment.computations.entry import UNITS
from opsrisk.assessment.computations.reading import part_of_inputs
from opsrisk.assessment.computations.refused import ComputationRefused, Fault
from opsrisk.assessment.computations.registry import COMPUTATIONS
from opsrisk.assessment.planning.subjects import SUBJECTS
from opsrisk.assessment.schemas import DRAFT, Schema, closed_object
from opsrisk.assessment.situation import SituationRefused, parsed

FORMAT = "opsrisk.plan_inputs/1"
NAMES = tuple(subject.name for subject in SUBJECTS)


class PlanRefused(ValueError):
    """The plan's inputs are no inputs; `errors` lists (field, given, accepted)."""

    def __init__(self, errors: list[Fault]) -> None:
        self.errors = errors
        super().__init__(
            "; ".join(f"{field}: given {given}; accepted: {accepted}" for field, given, accepted in errors)
        )


@dataclass(frozen=True)
class PlanInputs:
    """What was read: for each subject that is named some of its inputs, and the units to answer in."""

    sections: Mapping[str, Mapping[str, Any]]
    units: str = "metric"


def read_plan_inputs(given: str | bytes | Mapping[str, Any] | None) -> PlanInputs:
    """The plan inputs in JSON text, or none at all. Raises PlanRefused, every fault by its field."""
    if given is None:
        return PlanInputs({})
    try:
        document = parsed(given) if isinstance(given, str | bytes) else given
    except SituationRefused as refused:
        raise PlanRefused(refused.errors) from refused
    if not isinstance(document, Mapping):
        raise PlanRefused([("document", type(document).__name__, f"an object of format {FORMAT}")])
    errors: list[Fault] = []
    if document.get("format") != FORMAT:
        errors.append(("format", str(document.get("format"))[:60], FORMAT))
    if document.get("units", "metric") not in UNITS:
        errors.append(("units", str(document.get("units"))[:60], " ".join(UNITS)))
    sections = {
        name: _section(name, part, errors) for name, part in document.items() if name not in ("format", "units")
    }
    if errors:
        raise PlanRefused(errors)
    return PlanInputs(sections, document.get("units", "metric"))


def _section(name: str, given: Any, errors: list[Fault]) -> dict[str, Any]:
    if name not in NAMES:
        errors.append((name[:60], name[:60], f"one of: {', '.join(NAMES)}"))
        return {}
    try:
        found = part_of_inputs(COMPUTATIONS[name], given)
    except ComputationRefused as refused:
        errors.extend((f"{name}.{field}", shown, accepted) for field, shown, accepted in refused.errors)
        return {}
    if "units" in found:
        errors.append((f"{name}.units", found["units"], "units once, for the whole plan"))
    return found


def plan_inputs_schema() -> Schema:
    """The JSON Schema of `opsrisk.plan_inputs/1`: every subject's inputs, none of them required."""
    sections: dict[str, Schema] = {"format": {"const": FORMAT}, "units": {"enum": list(UNITS)}}
    for name in NAMES:
        properties = dict(input_schema(COMPUTATIONS[name])["properties"])
        properties.pop("units")
        sections[name] = closed_object(properties, ())
    head: Schema = {"$schema": DRAFT, "$id": FORMAT, "title": "What a plan needs beyond the situation"}
    return head | closed_object(sections, ("format",))
