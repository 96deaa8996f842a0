"""Entering a training day: when, what, how long, who took part."""

import hashlib
import re
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Agency, Person
from opsrisk.agencies.papers import today
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import LEAST_REASON, Refused, checked
from opsrisk.assessment.record import canonical
from opsrisk.records.models import Trained, TrainingDay

HOURS = re.compile(r"[0-9]{1,2}(\.[0-9]{1,2})?")
MOST_HOURS = 24
Errors = list[tuple[str, object, str]]


@dataclass(frozen=True)
class Told:
    """What is told of a training day; hours as they were typed."""

    held_on: date
    what: str
    hours: str
    people: tuple[UUID, ...]
    guests: str = ""
    reason: str = ""


@transaction.atomic
def keep_training(*, agency: Agency, told: Told, replaces: int | None, by: Person, at: datetime) -> TrainingDay:
    """Keeps a training day; `replaces` names the day whose entry is corrected, which takes a reason.

    The log gets the digest alone, as for a dive record. Raises Refused naming every bad field.
    """
    if by.agency_id != agency.pk:
        raise NotAllowed("another agency's training is not yours to enter")
    require(by, "keep_training")
    Agency.objects.select_for_update().get(pk=agency.pk)  # two entries at once get two numbers
    last = agency.training_days.order_by("day").last()
    day = replaces or (last.day + 1 if last else 1)
    number = agency.training_days.filter(day=day).count() + 1
    errors: Errors = []
    if replaces and number == 1:
        errors.append(("", replaces, "a training day that was entered"))
    reason = told.reason.strip() if number > 1 else ""
    if number > 1 and len(reason) < LEAST_REASON:
        errors.append(
            ("reason", told.reason, f"why it replaces entry {number - 1}, at least {LEAST_REASON} characters")
        )
    people = _people(agency, told, errors)
    hours = _faults(told, today(by, at), errors)
    if errors:
        raise Refused(*errors)
    row = TrainingDay(agency=agency, day=day, number=number, held_on=told.held_on, what=told.what.strip(), by=by, at=at)
    row.hours, row.guests, row.reason = hours, told.guests.strip(), reason
    row.sha256 = hashlib.sha256(canonical(row.document(people))).hexdigest()
    checked(row).save(force_insert=True)
    Trained.objects.bulk_create(Trained(training=row, person=one) for one in people)
    detail = {"day": day, "number": number, "sha256": row.sha256}
    enter(by=by, at=at, agency_id=by.agency_id, verb="keep_training", subject=row, detail=detail)
    return row


def _people(agency: Agency, told: Told, errors: Errors) -> list[Person]:
    found = list(Person.objects.filter(agency=agency, pk__in=told.people))
    if len(found) != len(set(told.people)):
        errors.append(("people", len(told.people) - len(found), "the agency's own people; others by name below"))
    if not told.people and not told.guests.strip():
        errors.append(("people", "nobody", "at least one who took part"))
    return found


def _faults(told: Told, now: date, errors: Errors) -> Decimal:
    if told.held_on > now:
        errors.append(("held_on", told.held_on, f"a day that has come: today is {now}"))
    if not told.what.strip():
        errors.append(("what", told.what, "what was trained, in words"))
    text = told.hours.strip()
    hours = Decimal(text) if HOURS.fullmatch(text) else Decimal(0)
    if not 0 < hours <= MOST_HOURS:
        errors.append(("hours", told.hours, f"hours up to {MOST_HOURS} with two decimals at most, such as 7.5"))
    return hours.quantize(Decimal("0.01"))
