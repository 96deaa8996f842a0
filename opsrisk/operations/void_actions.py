"""Declaring a record void: it stays readable for ever, and nobody works by it any more."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import LEAST_REASON, Refused
from opsrisk.operations.models import Assessment, Operation

LONGEST_REASON = 4000


class AlreadyVoid(Refused):
    """Voiding twice would replace who did it, when and why."""


class HasChanged(Refused):
    """What stands on the page is not what is stored: somebody else was there in between."""


@transaction.atomic
def void_record(*, assessment: Assessment, shown: str, reason: str, by: Person, at: datetime) -> Assessment:
    """Declares `assessment` void. `shown` is what the page that was confirmed showed of it, as `state` says it."""
    if by.agency_id is None or by.agency_id != assessment.operation.agency_id:
        raise NotAllowed("another agency's record is not yours to declare void")
    require(by, "void_record")
    Operation.objects.select_for_update().get(pk=assessment.operation_id)  # the lock of all records of one operation
    row = Assessment.objects.select_for_update(of=("self",)).get(pk=assessment.pk)
    if row.voided_at:
        raise AlreadyVoid(("record", row.digest, "a record that is not void already"))
    if shown != state(row):
        raise HasChanged(("record", row.digest, "the record as it is now: look at it again, then decide"))
    if not LEAST_REASON <= len(reason.strip()) <= LONGEST_REASON:
        raise Refused(("reason", reason, f"{LEAST_REASON} to {LONGEST_REASON} characters"))
    row.voided_at, row.voided_by, row.void_reason = at, by, reason.strip()
    row.save(update_fields=["voided_at", "voided_by", "void_reason"])
    detail = {"digest": row.digest, "operation": str(row.operation_id), "reason": row.void_reason}
    enter(by=by, at=at, agency_id=by.agency_id, verb="void_record", subject=row, detail=detail)
    return row


def state(assessment: Assessment) -> str:
    """What a page shows of a record, in short: its digest, who signed as what, and whether another one replaced it."""
    signatures = sorted(f"{one.person_id}={one.meaning}" for one in assessment.signatures.all())
    return ";".join([assessment.digest, *signatures, f"superseded={assessment.superseded_by_id or ''}"])
