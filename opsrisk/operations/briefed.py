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
    voided: list[str]  # digests


def read(operation: Operation) -> Read:
    rows = operation.assessments.order_by("revision", "received_at", "pk").prefetch_related("signatures")
    people = Person.objects.filter(agency=operation.agency_id)
    lines = operation.log.filter(kind__in=KINDS).order_by("entry").values_list("text", flat=True)
    return Read(
        records=[_signed(row) for row in rows],
        lines=[json.loads(text) for text in lines],
        voided=[row.digest for row in rows if row.voided_at],
        names={str(pk): name for pk, name in people.values_list("pk", "name")},
    )


def state_of(assessment: Assessment, read_already: Read | None = None) -> dict[str, Any]:
    """Who has said what back on this record, who has not, and whether the briefing is complete."""
    found = read_already or read(assessment.operation)
    return briefing(assessment.digest, found.records, found.lines, found.names, found.voided)


def rounds_of(operation: Operation) -> list[dict[str, Any]]:
    """One entry for each revision that was briefed: present, from when to when, tries, whether it led to a change."""
    found = read(operation)
    return rounds(found.records, found.lines)


def corrections_of(operation: Operation) -> list[dict[str, Any]]:
    """Revisions that were made because the one before was wrong, with the reason and who decided them."""
    rows = operation.assessments.exclude(correction="").select_related("made_by").order_by("revision", "received_at")
    return [
        {"record": row.digest, "revision": row.revision, "corrects": row.previous, "reason": row.correction,
         "by": str(row.made_by_id), "name": row.made_by.name, "at": row.assessed_at}
        for row in rows
    ]  # fmt: skip


def voids_of(operation: Operation) -> list[dict[str, Any]]:
    """Records declared void, with the reason, by whom and when."""
    rows = operation.assessments.filter(voided_at__isnull=False).select_related("voided_by").order_by("voided_at")
    return [
        {"record": row.digest, "revision": row.revision, "reason": row.void_reason,
         "by": str(row.voided_by_id), "name": getattr(row.voided_by, "name", ""), "at": row.voided_at}
        for row in rows
    ]  # fmt: skip


def _signed(row: Assessment) -> dict[str, Any]:
    signatures = [
        {"person": str(one.person_id), "name": one.name, "meaning": one.meaning, "at": one.at_text}
        for one in row.signatures.all()
    ]
    return {"record": json.loads(row.record), "digest": row.digest, "signatures": signatures}
