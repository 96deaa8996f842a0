"""How far the briefing of a stored record has come, and the rounds of an operation: read from records and log."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from opsrisk.agencies.models import Person
from opsrisk.assessment.read_back import KINDS, briefing, rounds
from opsrisk.operations.models import Assessment, Operation


@dataclass(frozen=True)
class Read:
    """What the state of a briefing is worked out from."""

    records: list[dict[str, Any]]  # record, digest, signatures
    lines: list[dict[str, Any]]  # whole lines of the log, in the order of the ledger
    names: dict[str, str]


def read(operation: Operation) -> Read:
    rows = operation.assessments.order_by("revision", "received_at", "pk").prefetch_related("signatures")
    people = Person.objects.filter(agency=operation.agency_id)
    lines = operation.log.filter(kind__in=KINDS).order_by("entry").values_list("text", flat=True)
    return Read(
        records=[_signed(row) for row in rows],
        lines=[json.loads(text) for text in lines],
        names={str(pk): name for pk, name in people.values_list("pk", "name")},
    )


def state_of(assessment: Assessment, read_already: Read | None = None) -> dict[str, Any]:
    """Who has said what back on this record, who has not, and whether the briefing is complete."""
    found = read_already or read(assessment.operation)
    return briefing(assessment.digest, found.records, found.lines, found.names)


def rounds_of(operation: Operation) -> list[dict[str, Any]]:
    """One entry for each revision that was briefed: present, from when to when, tries, whether it led to a change."""
    found = read(operation)
    return rounds(found.records, found.lines)


def _signed(row: Assessment) -> dict[str, Any]:
    signatures = [
        {"person": str(one.person_id), "name": one.name, "meaning": one.meaning, "at": one.at_text}
        for one in row.signatures.all()
    ]
    return {"record": json.loads(row.record), "digest": row.digest, "signatures": signatures}
