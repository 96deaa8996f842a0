"""An operation's archive: asked for, made, handed out. Each is in the log, the reason with it."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import LEAST_REASON, Refused
from opsrisk.briefing.models import Archive
from opsrisk.jobs import enqueue
from opsrisk.operations.models import Operation

JOB = "briefing.make_archive"


@transaction.atomic
def ask_archive(*, operation: Operation, reason: str, by: Person | None, at: datetime) -> Archive:
    """A new archive of `operation`, to be made after the commit. The old ones stay."""
    _may(operation, by)
    reason = reason.strip()
    if len(reason) < LEAST_REASON or len(reason) > 400:
        raise Refused(("reason", reason, f"for whom and why, in {LEAST_REASON} to 400 characters"))
    made = Archive.objects.create(operation=operation, reason=reason, asked_by=by, asked_at=at)
    detail = {"operation": str(operation.pk), "reason": reason}
    enter(by=by, at=at, agency_id=operation.agency_id, verb="ask_archive", subject=made, detail=detail)
    enqueue(JOB, str(made.pk))
    return made


@transaction.atomic
def keep_archive(*, archive: Archive, path: str, sha256: str, at: datetime) -> bool:
    """Records the finished file. False where another run of the job was first."""
    row = Archive.objects.select_for_update().get(pk=archive.pk)
    if row.state != Archive.State.QUEUED:
        return False
    row.state, row.file, row.sha256 = Archive.State.READY, path, sha256
    row.save(update_fields=["state", "file", "sha256"])
    _enter_job(row, "keep_archive", {"sha256": sha256}, at)
    return True


@transaction.atomic
def give_up_archive(*, archive: Archive, why: str, at: datetime) -> bool:
    """Marks an archive that cannot be made, so that people see it and the sweep leaves it alone.

    False where another run of the job was first: a file that was made is not undone.
    """
    row = Archive.objects.select_for_update().get(pk=archive.pk)
    if row.state != Archive.State.QUEUED:
        return False
    row.state = Archive.State.FAILED
    row.save(update_fields=["state"])
    _enter_job(row, "give_up_archive", {"why": why[:400]}, at)
    return True


@transaction.atomic
def hand_out_archive(*, archive: Archive, by: Person | None, at: datetime) -> None:
    """Logs that somebody took the file."""
    _may(archive.operation, by)
    detail = {"operation": str(archive.operation_id), "sha256": archive.sha256}
    agency_id = archive.operation.agency_id
    enter(by=by, at=at, agency_id=agency_id, verb="hand_out_archive", subject=archive, detail=detail)


def _may(operation: Operation, by: Person | None) -> None:
    require(by, "export_operation")
    if by is not None and by.agency_id != operation.agency_id:
        raise NotAllowed(f"operation: given {operation.pk}, accepted one of the own agency")


def _enter_job(row: Archive, verb: str, detail: dict[str, str], at: datetime) -> None:
    detail = {"operation": str(row.operation_id), **detail}
    enter(by=None, at=at, agency_id=row.operation.agency_id, verb=verb, subject=row, detail=detail)
