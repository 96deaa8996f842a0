"""The debrief: what happened, what surprised, who was hurt, how long who was in the water, who found what."""

import json
from dataclasses import asdict, dataclass
from datetime import datetime

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import LEAST_REASON, Refused, checked
from opsrisk.operations.models import Debrief, Operation
from opsrisk.reference.units import to_si

MOST_MINUTES = 20_000  # two weeks; more is a slip of the hand
NOT_KNOWN = ("unknown", "not known")


@dataclass(frozen=True)
class Told:
    """What the debrief says; minutes as they were typed: a whole number, or that they are not known."""

    happened: str
    injuries: str
    near_miss: str
    found_by: str
    looking_back: str
    diver_minutes: str
    vehicle_minutes: str
    surprised: str = ""
    near_miss_words: str = ""
    reason: str = ""


@transaction.atomic
def debrief(*, operation: Operation, told: Told, by: Person, at: datetime) -> Debrief:
    """Keeps what was said after the operation. An earlier debrief stays readable; replacing it takes a reason.

    Raises Refused naming every bad field.
    """
    if by.agency_id != operation.agency_id:
        raise NotAllowed("another agency's operation is not yours to debrief")
    require(by, "debrief")
    Operation.objects.select_for_update().get(pk=operation.pk)  # two debriefs at once get two numbers
    number = operation.debriefs.count() + 1
    errors = [*_missing(told, number)]
    minutes = {name: _minutes(name, getattr(told, name), errors) for name in ("diver_minutes", "vehicle_minutes")}
    if errors:
        raise Refused(*errors)
    said = {name: value.strip() for name, value in asdict(told).items() if name not in minutes}
    if number == 1:
        said["reason"] = ""
    visibility = _visibility_m(operation)
    row = checked(Debrief(operation=operation, number=number, visibility_m=visibility, by=by, at=at, **said, **minutes))
    row.save(force_insert=True)
    detail = {"number": number, **said, **minutes}
    enter(by=by, at=at, agency_id=by.agency_id, verb="debrief", subject=operation, detail=detail)
    return row


def _visibility_m(operation: Operation) -> float | None:
    """How far somebody saw, in metres, by the assessments in force; None where one of them does not know."""
    found = []
    for record in operation.assessments.current().values_list("record", flat=True):
        entry = json.loads(record)["situation"].get("readings", {}).get("visibility")
        if not isinstance(entry, dict) or entry.get("value", "unknown") == "unknown":
            return None
        found.append(float(to_si(entry["value"], entry["unit"])))
    return min(found, default=None)


def _missing(told: Told, number: int) -> list[tuple[str, object, str]]:
    errors: list[tuple[str, object, str]] = []
    if not told.happened.strip():
        errors.append(("happened", told.happened, "what happened, in words"))
    if told.near_miss == Debrief.NearMiss.YES and not told.near_miss_words.strip():
        errors.append(("near_miss_words", told.near_miss_words, "what nearly went wrong, in words"))
    if number > 1 and len(told.reason.strip()) < LEAST_REASON:
        errors.append(
            ("reason", told.reason, f"why it replaces debrief {number - 1}, at least {LEAST_REASON} characters")
        )
    return errors


def _minutes(name: str, typed: str, errors: list[tuple[str, object, str]]) -> int | None:
    """Whole minutes, or None where it was said that they are not known."""
    text = typed.strip().lower()
    if text in NOT_KNOWN:
        return None
    if not (text.isascii() and text.isdigit()) or int(text) > MOST_MINUTES:
        errors.append((name, typed, f"whole minutes from 0 to {MOST_MINUTES:,}, or the words not known"))
        return None
    return int(text)
