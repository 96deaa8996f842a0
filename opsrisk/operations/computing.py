"""A computation with what the server knows: a current station may be named by its id."""

from collections.abc import Mapping
from typing import Any

from django.db import DatabaseError

from opsrisk.agencies.models import CurrentStation
from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.registry import compute
from opsrisk.assessment.situation import SituationRefused, parsed


def compute_here(name: str, given: str | bytes) -> dict[str, Any]:
    """The answer of computation `name` to the JSON text `given`. Raises ComputationRefused."""
    try:
        document = parsed(given)
    except SituationRefused as refused:
        raise ComputationRefused(refused.errors) from refused
    return compute(name, with_station(document) if isinstance(document, Mapping) else document)


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
