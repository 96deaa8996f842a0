"""The one way in for a line of a conditions log: added once, never changed, with its entry in the ledger."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.record import canonical
from opsrisk.assessment.words import one_line
from opsrisk.operations.loglines import Line, read_line
from opsrisk.operations.models import LogEntry, Operation
from opsrisk.operations.opened import open_operation
from opsrisk.operations.receipts import KeyReused

CREATED, SEEN_BEFORE = 201, 200


@transaction.atomic
def receive_line(*, body: bytes, by: Person, at: datetime) -> tuple[int, dict[str, Any]]:
    """Adds the line once and answers with what the server has; its id is the key. Raises Refused or KeyReused."""
    require(by, "keep_log")
    if by.agency_id is None:
        raise NotAllowed("keep_log: only people of an agency")
    line = read_line(body)
    if line.by != by.pk:
        raise Refused(("by", line.by, f"the person who sends it, {by.pk}"))
    _check_hearer(line, by)
    kind = Operation.Kind.UNKNOWN
    operation = open_operation(line.operation, kind=kind, called_at=line.at, by=by, at=at, field="operation")
    stored = LogEntry.objects.filter(pk=line.id).first()
    if stored is None:
        return CREATED, receipt_of(_add(line, operation, by, at))
    if stored.digest != line.digest:
        raise KeyReused(("id", line.id, "a new id: this one belongs to another line"))
    return SEEN_BEFORE, receipt_of(stored)


def receipt_of(stored: LogEntry) -> dict[str, Any]:
    when = stored.received_at.astimezone(UTC).isoformat(timespec="milliseconds")
    return {"id": str(stored.pk), "digest": stored.digest, "entry": stored.entry, "received_at": when}


def _check_hearer(line: Line, by: Person) -> None:
    """What was said back was heard by somebody of the agency: a name that nobody here has would prove nothing."""
    if line.kind not in (LogEntry.Kind.READ_BACK, LogEntry.Kind.COMMANDER):
        return
    content = line.document["content"]
    heard_by = Person.objects.for_person(by).filter(pk=content["heard_by"]).first()
    if heard_by is None:
        raise Refused(("content.heard_by", content["heard_by"], "a person of your agency"))
    if one_line(content.get("name")).casefold() == one_line(heard_by.name).casefold():
        raise Refused(("content.name", content["name"], "the name of somebody else than who heard it"))


def _add(line: Line, operation: Operation, by: Person, at: datetime) -> LogEntry:
    text = canonical(line.document).decode()
    made = LogEntry(
        id=line.id, operation=operation, kind=line.kind, at=line.at, text=text, digest=line.digest,
        received_by=by, received_at=at,
    )  # fmt: skip
    detail = {"operation": str(operation.pk), "kind": line.kind, "digest": line.digest}
    made.entry = enter(by=by, at=at, agency_id=by.agency_id, verb=f"log_{line.kind}", subject=made, detail=detail).index
    made.save(force_insert=True)
    return made
