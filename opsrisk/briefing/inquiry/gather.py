"""What belongs into an operation's archive, read from rows under the lock of the log. Files are only named here."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from opsrisk.briefing.models import Sheet
from opsrisk.ledger.models import Entry
from opsrisk.operations.countersigned import present_receipt, signature_document
from opsrisk.operations.models import Assessment, Imported, Operation, Signature
from opsrisk.protocols.models import ProtocolVersion

PEOPLE = ("made_by", "override_second", "voided_by", "protocol__author", "protocol__adopted_by")
WITH = ("operation", "superseded_by", "protocol", *PEOPLE)  # all of it at once: nothing is asked of the rows later
UNCHANGED_SINCE = "the server's file is missing or not the one that was sealed"
LOOKS = ("read_log", "refused")  # who looked for what is told to the agency alone


@dataclass(frozen=True)
class Revision:
    row: Assessment
    folder: str
    record: bytes
    signatures: list[dict[str, str]]
    receipts: list[dict[str, Any]]


@dataclass(frozen=True)
class SealedSheet:
    """One file that was sealed; a sheet that was made again has several."""

    row: Sheet
    entry: int
    sha256: str
    path: str  # below settings.FILES

    @property
    def file(self) -> str:
        return f"sheets/{self.row.code}-{self.row.paper}-{self.sha256[:10]}.pdf"


def revisions(operation: Operation) -> list[Revision]:
    """Every record in the order of revisions and of arrival, so that each comes after the one it replaces."""
    rows = operation.assessments.select_related(*WITH)
    return [_revision(row) for row in rows.order_by("revision", "received_at", "pk")]


def _revision(row: Assessment) -> Revision:
    first = json.loads(row.receipt)
    present = json.loads(present_receipt(row))
    return Revision(
        row=row,
        folder=f"revisions/{row.revision:02d}-{row.digest[:10]}",
        record=row.record.encode(),
        signatures=[
            signature_document(one) for one in row.signatures.select_related("assessment").order_by("at", "pk")
        ],
        receipts=[first] if present == first else [first, present],
    )


def sheets(operation: Operation) -> list[SealedSheet]:
    """Every file that was ever sealed for this operation."""
    found = Sheet.objects.filter(assessment__operation=operation).select_related("assessment__operation")
    rows = {str(row.pk): row for row in found}
    seals = Entry.objects.filter(verb="seal_sheet", subject_id__in=list(rows)).order_by("index")
    return [_sheet(rows[entry.subject_id], entry) for entry in seals]


def _sheet(row: Sheet, entry: Entry) -> SealedSheet:
    sha256 = json.loads(entry.detail)["sha256"]
    return SealedSheet(row, entry.index, sha256, sheet_path(row, sha256))


def sheet_path(row: Sheet, sha256: str) -> str:
    """Where the sealed file lies below settings.FILES."""
    return f"sheets/{row.assessment.operation.agency_id}/{row.pk}-{sha256[:16]}.pdf"


def lines(operation: Operation) -> list[bytes]:
    """The conditions log as the tablets wrote it, in the order of arrival."""
    return [text.encode() for text in operation.log.order_by("entry").values_list("text", flat=True)]


def protocols(found: Sequence[Revision]) -> list[ProtocolVersion]:
    """The versions that this operation was decided under. Raises NotAsStored for one that was altered."""
    rows = {one.row.protocol_id: one.row.protocol for one in found}
    return sorted(rows.values(), key=lambda row: (row.protocol_id, row.version))


def entries(operation: Operation, found: Sequence[Revision]) -> list[Entry]:
    """Every entry that is about the operation or one of its things, who signed with which key, and changes of key.

    An entry that only mentions the operation in somebody's words is about something else, and no outsider's business.
    """
    subjects = [str(operation.pk), *(str(one.row.pk) for one in found)]
    subjects += [str(pk) for (pk,) in operation.log.values_list("pk")]
    subjects += [str(pk) for (pk,) in Sheet.objects.filter(assessment__operation=operation).values_list("pk")]
    subjects += [str(row.pk) for row in protocols(found)]
    subjects += [str(pk) for (pk,) in Imported.objects.filter(operation=operation).values_list("of")]
    by_subject = Q(subject_id__in=subjects) | Q(verb="set_signing_code", subject_id__in=_signers(operation))
    theirs = Q(agency_id=operation.agency_id)
    keys = Q(verb="rotate_key", agency_id=None)
    sure = {one.index: one for one in Entry.objects.filter((theirs & by_subject) | keys)}
    mentions = Entry.objects.filter(theirs, detail__contains=str(operation.pk)).exclude(verb__in=LOOKS)
    named = {one.index: one for one in mentions if json.loads(one.detail).get("operation") == str(operation.pk)}
    return [one for _, one in sorted((sure | named).items())]


def _signers(operation: Operation) -> list[str]:
    people = Signature.objects.filter(assessment__operation=operation).values_list("person_id", flat=True)
    return sorted({str(pk) for pk in people})
