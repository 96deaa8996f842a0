"""Letting records go that are past their period: one person asks, another agrees, the log keeps the digests."""

from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Agency, Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import LEAST_REASON, Refused, checked
from opsrisk.records.models import DiveRecord, Purge, Trained, TrainingDay
from opsrisk.records.retention import in_force, rows_past

HOLDS = timedelta(days=7)  # a request that nobody agreed to lapses
MOST = 200  # dives or days at a time, the oldest first, so that a person can read what goes
ROWS: dict[str, type[DiveRecord] | type[TrainingDay]] = {
    "dives": DiveRecord,
    "dives_suspected": DiveRecord,
    "training": TrainingDay,
}
Named = list[dict[str, str]]


@transaction.atomic
def ask_purge(*, agency: Agency, kind: str, reason: str, by: Person, at: datetime) -> Purge:
    """Names the records that are past their period now; nothing goes before somebody else agrees. Raises Refused."""
    if by.agency_id != agency.pk:
        raise NotAllowed("another agency's records are not yours to purge")
    require(by, "purge")
    Agency.objects.select_for_update().get(pk=agency.pk)
    if kind not in ROWS:
        raise Refused(("kind", kind, "one of " + ", ".join(ROWS)))
    errors: list[tuple[str, object, str]] = []
    if len(reason.strip()) < LEAST_REASON:
        errors.append(("reason", reason, f"why they go, at least {LEAST_REASON} characters"))
    if agency.purges.filter(kind=kind, agreed_at__isnull=True, asked_at__gt=at - HOLDS).exists():
        errors.append(("kind", kind, "a kind for which no other request waits"))
    what = _past(agency, kind, at)
    if not what:
        errors.append(("kind", kind, "a kind with a period and with records past it"))
    if errors:
        raise Refused(*errors)
    row = checked(Purge(agency=agency, kind=kind, what=what, reason=reason.strip(), asked_by=by, asked_at=at))
    row.save(force_insert=True)
    detail = {"kind": kind, "reason": row.reason, "records": what}
    enter(by=by, at=at, agency_id=agency.pk, verb="ask_purge", subject=row, detail=detail)
    return row


@transaction.atomic
def agree_purge(*, purge: Purge, by: Person, at: datetime) -> Purge:
    """Deletes what was named, if all of it is still past its period; the log keeps number and digest of each.

    Raises Refused where that is not so, NotAllowed for whoever asked.
    """
    if by.agency_id != purge.agency_id:
        raise NotAllowed("another agency's records are not yours to purge")
    require(by, "purge")
    Agency.objects.select_for_update().get(pk=purge.agency_id)
    purge = Purge.objects.select_related("agency").get(pk=purge.pk)
    if by.pk == purge.asked_by_id:
        raise Refused(("", by.name, "somebody else than who asked"))
    if purge.agreed_at or purge.asked_at <= at - HOLDS:
        raise Refused(("", purge, f"a request that nobody has agreed to yet, at most {HOLDS.days} days old"))
    if purge.what != _past(purge.agency, purge.kind, at, oldest=purge.what):
        raise Refused(("", purge, "records that are all still there and past their period; ask again"))
    purge.agreed_by, purge.agreed_at = by, at
    purge.save(update_fields=["agreed_by", "agreed_at"])
    _delete(purge)
    detail = {"kind": purge.kind, "asked_by": str(purge.asked_by_id), "records": purge.what}
    enter(by=by, at=at, agency_id=purge.agency_id, verb="purge", subject=purge, detail=detail)
    return purge


def _past(agency: Agency, kind: str, at: datetime, oldest: Named | None = None) -> Named:
    """The records past their period, what they replaced included; with `oldest` of the dives or days named there."""
    policy = in_force(agency)
    if policy is None or kind not in policy.years:
        return []
    past = rows_past(kind, agency, policy.years[kind], at)
    found: Named = []
    for row in past[:MOST] if oldest is None else past:
        named = [{"record": str(one.pk), "sha256": one.sha256} for one in _versions(row)]
        if oldest is None or any(one in oldest for one in named):
            found += named
    return found


def _versions(row: Any) -> Any:
    """A record with those that it replaced, in their order."""
    if isinstance(row, DiveRecord):
        return DiveRecord.objects.filter(operation=row.operation_id, dive=row.dive).order_by("number")
    return TrainingDay.objects.filter(agency=row.agency_id, day=row.day).order_by("number")


def _delete(purge: Purge) -> None:
    """The database lets go only of rows that name the purge by which they go."""
    named = [one["record"] for one in purge.what]
    rows = ROWS[purge.kind].objects.filter(pk__in=named)
    if purge.kind == Purge.Kind.TRAINING:
        trained = Trained.objects.filter(training_id__in=named)
        trained.update(purge=purge)
        trained.delete()
    rows.update(purge=purge)
    rows.delete()
