"""What the tablets of one operation tell each other: everything after a place in the ledger, in its order."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

from opsrisk.ledger.models import Entry, Head
from opsrisk.operations.countersigned import signature_document
from opsrisk.operations.models import Assessment, LogEntry, Operation

ARRIVALS = ("receive_record", "receive_signatures", "void_record")
MOST = 200  # lines in one answer; the rest comes with the next question


def feed(operation: Operation, after: int) -> dict[str, Any]:
    """Lines and revisions that arrived after ledger entry `after`, and the place to ask from next time."""
    # Asked first: every entry below it is committed with what it records, so what is read from here on holds it.
    # What arrives while this is being read is left to the next question, never jumped over.
    end = Head.objects.values_list("size", flat=True).first() or 0
    lines = list(
        operation.log.filter(entry__gt=after, entry__lt=end).select_related("received_by").order_by("entry")[:MOST]
    )
    rows = {str(row.pk): row for row in operation.assessments.select_related("made_by", "voided_by")}
    arrived = _arrivals(operation, rows, after, end)
    places = [line.entry for line in lines] + [index for index, _ in arrived]
    # A cut answer must not jump over what it left out.
    upto = lines[-1].entry if len(lines) == MOST else max([after, *places])
    changed = {subject for index, subject in arrived if index <= upto}
    return {
        "operation": _operation(operation),
        "upto": upto,
        "lines": [_line(line) for line in lines],
        "revisions": [_revision(rows[subject]) for subject in rows if subject in changed],
        "current": [row.digest for row in rows.values() if row.stands],
        "voided": [row.digest for row in rows.values() if row.voided_at],
        "photos": {str(one.pk): one.received_at and _stamp(one.received_at) for one in operation.photos.order_by("pk")},
    }


def _arrivals(operation: Operation, rows: dict[str, Assessment], after: int, end: int) -> list[tuple[int, str]]:
    if not rows:
        return []
    entries = Entry.objects.of_agency(operation.agency_id).filter(index__gt=after, index__lt=end, verb__in=ARRIVALS)
    return list(entries.filter(subject_id__in=list(rows)).values_list("index", "subject_id"))


def under_way(person: Any) -> list[dict[str, Any]]:
    """Operations of the person's agency that nobody has closed, newest first."""
    rows = Operation.objects.for_person(person).filter(closed_at__isnull=True).order_by("-called_at", "pk")[:30]
    return [_operation(row) for row in rows]


def _operation(operation: Operation) -> dict[str, Any]:
    closed = operation.closed_at and _stamp(operation.closed_at)
    site = str(operation.site_id) if operation.site_id else None
    named = {"id": str(operation.pk), "title": operation.title, "site": site, "place": operation.place}
    return named | {"called_at": _stamp(operation.called_at), "closed_at": closed}


def _line(line: LogEntry) -> dict[str, Any]:
    sender = {"name": line.received_by.name, "entry": line.entry, "received_at": _stamp(line.received_at)}
    return {"line": json.loads(line.text), "digest": line.digest, **sender}


def _revision(row: Assessment) -> dict[str, Any]:
    return {
        "record": json.loads(row.record),
        "digest": row.digest,
        "made_by": row.made_by.name,
        "received_at": _stamp(row.received_at),
        "rival": row.rival,
        "void": _void(row),
        "entry": json.loads(row.receipt)["entry"],
        "signatures": [signature_document(one) for one in row.signatures.select_related("assessment").order_by("at")],
    }


def _void(row: Assessment) -> dict[str, str] | None:
    if row.voided_at is None:
        return None
    return {"at": _stamp(row.voided_at), "by": getattr(row.voided_by, "name", ""), "reason": row.void_reason}


def _stamp(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="milliseconds")
