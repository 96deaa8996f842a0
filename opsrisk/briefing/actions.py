"""Everything that changes a sheet: issue, seal, give up, withdraw."""

from datetime import datetime

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Agency, Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import LEAST_REASON, Refused
from opsrisk.assessment.read_back import KINDS
from opsrisk.assessment.words import short_code
from opsrisk.briefing.models import Sheet
from opsrisk.jobs import enqueue
from opsrisk.operations.models import Assessment

JOB = "briefing.render_sheet"


class AlreadyWithdrawn(Refused):
    """A withdrawn sheet stays withdrawn; the next revision gets its own."""


@transaction.atomic
def issue_sheet(*, assessment: Assessment, paper: str, language: str = "", by: Person, at: datetime) -> Sheet:
    """The sheet of `assessment` on `paper` in `language`, else the agency's, to be rendered after the commit.

    The same sheet is not made twice, unless people have signed or said something back since, or the last attempt
    failed.
    """
    require(by, "issue_sheet")
    _in_own_agency(assessment, by)
    if paper not in Sheet.Paper.values:
        raise Refused(("paper", paper, ", ".join(Sheet.Paper.values)))
    language = language or assessment.operation.agency.language
    if language not in Agency.Language.values:
        raise Refused(("language", language, ", ".join(Agency.Language.values)))
    code = short_code(assessment.digest)
    sheet, new = Sheet.objects.select_for_update().get_or_create(
        assessment=assessment, paper=paper, language=language, defaults={"code": code, "made_at": at}
    )
    if sheet.withdrawn_at:
        raise AlreadyWithdrawn(("sheet", code, "a sheet that was not withdrawn"))
    if not new and not _outdated(sheet):
        return sheet
    sheet.state, sheet.made_at = Sheet.State.QUEUED, at
    sheet.save(update_fields=["state", "made_at"])
    agency_id = assessment.operation.agency_id
    detail = {"code": code, "paper": paper, "language": language}
    enter(by=by, at=at, agency_id=agency_id, verb="issue_sheet", subject=sheet, detail=detail)
    enqueue(JOB, str(sheet.pk))
    return sheet


@transaction.atomic
def keep_pdf(*, sheet: Sheet, path: str, sha256: str, asked_at: datetime, at: datetime, stamp: str = "") -> bool:
    """Records the finished file. False where the sheet was asked for again meanwhile: that job's file will stand."""
    row = Sheet.objects.select_for_update().get(pk=sheet.pk)
    if row.state != Sheet.State.QUEUED or row.made_at != asked_at:
        return False
    row.state, row.pdf, row.sha256 = Sheet.State.READY, path, sha256
    row.save(update_fields=["state", "pdf", "sha256"])
    agency_id = row.assessment.operation.agency_id
    detail = {"sha256": sha256} | ({"time_stamp": stamp} if stamp else {})
    enter(by=None, at=at, agency_id=agency_id, verb="seal_sheet", subject=row, detail=detail)
    return True


@transaction.atomic
def give_up(*, sheet: Sheet, why: str, asked_at: datetime, at: datetime) -> bool:
    """Marks a sheet that cannot be made, so that people see it and the sweep leaves it alone.

    False where another run of the job was first, or it was asked for again meanwhile: what stands is not undone.
    """
    row = Sheet.objects.select_for_update().get(pk=sheet.pk)
    if row.state != Sheet.State.QUEUED or row.made_at != asked_at:
        return False
    row.state = Sheet.State.FAILED
    row.save(update_fields=["state"])
    agency_id = row.assessment.operation.agency_id
    enter(by=None, at=at, agency_id=agency_id, verb="give_up_sheet", subject=row, detail={"why": why[:400]})
    return True


@transaction.atomic
def withdraw(*, sheet: Sheet, reason: str, by: Person, at: datetime) -> Sheet:
    """Calls back a sheet that should not be used, without a new assessment; its code answers 'superseded'."""
    require(by, "issue_sheet")
    _in_own_agency(sheet.assessment, by)
    row = Sheet.objects.select_for_update().get(pk=sheet.pk)
    if row.withdrawn_at:
        raise AlreadyWithdrawn(("sheet", row.code, "a sheet that was not withdrawn"))
    if len(reason.strip()) < LEAST_REASON:
        raise Refused(("reason", reason, f"at least {LEAST_REASON} characters"))
    row.withdrawn_at, row.withdrawn_reason = at, reason.strip()[:400]
    row.save(update_fields=["withdrawn_at", "withdrawn_reason"])
    detail = {"code": row.code, "reason": row.withdrawn_reason}
    enter(by=by, at=at, agency_id=by.agency_id, verb="withdraw_sheet", subject=row, detail=detail)
    return row


def _outdated(sheet: Sheet) -> bool:
    """Whether the sheet failed, or somebody signed, said something back or declared it void after it was made."""
    of = sheet.assessment
    return (
        sheet.state == Sheet.State.FAILED
        or bool(of.voided_at and of.voided_at > sheet.made_at)
        or of.signatures.filter(verified_at__gt=sheet.made_at).exists()
        or of.operation.log.filter(kind__in=KINDS, received_at__gt=sheet.made_at).exists()
    )


def _in_own_agency(assessment: Assessment, by: Person) -> None:
    if assessment.operation.agency_id != by.agency_id:
        raise NotAllowed(f"assessment: given {assessment.pk}, accepted one of the own agency")
