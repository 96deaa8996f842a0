"""Computations and plans with what the server knows: a current station may be named by its id."""

import json
from collections.abc import Mapping
from typing import Any

from django.db import DatabaseError

from opsrisk.agencies.models import CurrentStation
from opsrisk.assessment.computations.reading import as_text
from opsrisk.assessment.computations.refused import ComputationRefused, Fault
from opsrisk.assessment.computations.registry import compute
from opsrisk.assessment.plan import plan_of
from opsrisk.assessment.planning.inputs import PlanRefused, read_plan_inputs
from opsrisk.assessment.situation import SituationRefused, parsed, read_situation
from opsrisk.engine.protocol import read_protocol


def compute_here(name: str, given: str | bytes) -> dict[str, Any]:
    """The answer of computation `name` to the JSON text `given`. Raises ComputationRefused."""
    try:
        document = parsed(given)
    except SituationRefused as refused:
        raise ComputationRefused(refused.errors) from refused
    return compute(name, with_station(document) if isinstance(document, Mapping) else document)


def plan_here(given: str | bytes, protocol: str) -> dict[str, Any]:
    """The plan of the JSON object `given`, its `situation` and its `inputs`, under a protocol's text.

    Raises ComputationRefused, every fault by its field below `situation` or `inputs`.
    """
    document = _object(given)
    for name in document:
        if name not in ("situation", "inputs"):
            raise ComputationRefused([(str(name)[:60], str(name)[:60], "situation, inputs")])
    try:
        situation = read_situation(json.dumps(as_text(document.get("situation"))))
    except SituationRefused as refused:
        raise ComputationRefused(_below("situation", refused.errors)) from refused
    try:
        inputs = read_plan_inputs(_with_named_station(document.get("inputs")))
    except PlanRefused as refused:
        raise ComputationRefused(_below("inputs", refused.errors)) from refused
    return plan_of(situation, inputs, read_protocol(protocol))


def _object(given: str | bytes) -> Mapping[str, Any]:
    try:
        document = parsed(given)
    except SituationRefused as refused:
        raise ComputationRefused(refused.errors) from refused
    if not isinstance(document, Mapping):
        raise ComputationRefused([("document", type(document).__name__, "an object with situation and inputs")])
    return document


def _below(place: str, errors: list[Fault]) -> list[Fault]:
    return [(f"{place}.{field}", given, accepted) for field, given, accepted in errors]


def _with_named_station(inputs: Any) -> Any:
    section = inputs.get("station_windows") if isinstance(inputs, Mapping) else None
    return dict(inputs) | {"station_windows": with_station(section)} if isinstance(section, Mapping) else inputs


def with_station(document: Mapping[str, Any]) -> dict[str, Any]:
    """`document` with the station that it names by id put in its place."""
    named = document.get("station")
    if not isinstance(named, str) or named == "unknown":
        return dict(document)
    accepted = "the id of a current station here, or its document"
    try:
        found = CurrentStation.objects.filter(pk=named[:40]).first()
    except DatabaseError:  # the command also runs where no database was made yet
        found, accepted = None, "the document of a current station: there is no database to look for its id"
    if found is None:
        raise ComputationRefused([("station", repr(named[:60]), accepted)])
    return dict(document) | {"station": found.data}
