"""Keeping a dive record: who dived, when, where, how deep, how long, in what water, and what went wrong."""

import hashlib
import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import LEAST_REASON, Refused, checked
from opsrisk.assessment.record import canonical
from opsrisk.operations.models import Operation
from opsrisk.records.dive_facts import Taken, of_operation
from opsrisk.records.models import DiveRecord
from opsrisk.reference.units import to_si

DEEPEST_M = 200.0  # deeper is a slip of the hand
DEPTH = re.compile(r"[0-9]{1,4}(\.[0-9])?")
LONGEST = timedelta(hours=24)
NOT_KNOWN = ("unknown", "not known")
ASKED = {
    "in_charge": "the name of the person in charge",
    "team": "the team members, a line for each",
    "place": "where the dive was, in words",
    "work": "the general nature of the work, in words",
}
Errors = list[tuple[str, object, str]]


@dataclass(frozen=True)
class Told:
    """What a dive record says; depth and bottom time as they were typed: a number, or that they are not known."""

    diver: UUID | None
    guest: str
    in_charge: str
    team: str
    place: str
    in_at: datetime | None
    out_at: datetime | None
    mode: str
    mode_words: str
    work: str
    from_record: str
    conditions_words: str
    max_depth: str
    depth_unit: str
    bottom_minutes: str
    decompression: str
    injury: str
    incidents: str
    reason: str = ""


@transaction.atomic
def keep_dive(*, operation: Operation, told: Told, replaces: int | None, by: Person, at: datetime) -> DiveRecord:
    """Keeps the record of one dive; `replaces` names the dive whose record is corrected, which takes a reason.

    The log gets the record's digest and no word of it, so that it can go once its period is over. Raises Refused
    naming every bad field.
    """
    if by.agency_id != operation.agency_id:
        raise NotAllowed("another agency's dives are not yours to record")
    require(by, "keep_dives")
    Operation.objects.select_for_update().get(pk=operation.pk)  # two records at once get two numbers
    last = operation.dives.order_by("dive", "number").last()
    dive = replaces or (last.dive + 1 if last else 1)
    number = operation.dives.filter(dive=dive).count() + 1
    errors: Errors = []
    if replaces and number == 1:
        errors.append(("", replaces, "a dive of this operation that has a record"))
    row = _row(operation, told, errors, at)
    row.dive, row.number, row.by, row.at = dive, number, by, at
    row.reason = told.reason.strip() if number > 1 else ""
    if number > 1 and len(row.reason) < LEAST_REASON:
        errors.append(
            ("reason", told.reason, f"why it replaces record {number - 1}, at least {LEAST_REASON} characters")
        )
    if errors:
        raise Refused(*errors)
    row.sha256 = hashlib.sha256(canonical(row.document())).hexdigest()
    checked(row).save(force_insert=True)
    detail = {"record": str(row.pk), "dive": dive, "number": number, "sha256": row.sha256}
    enter(by=by, at=at, agency_id=by.agency_id, verb="keep_dive", subject=operation, detail=detail)
    return row


def _row(operation: Operation, told: Told, errors: Errors, at: datetime) -> DiveRecord:
    said = {name: getattr(told, name).strip() for name in (*ASKED, "mode_words", "conditions_words", "incidents")}
    errors += [(name, said[name], words) for name, words in ASKED.items() if not said[name]]
    diver = _diver(operation, told, errors)
    taken = _taken(operation, told, errors)
    in_at, out_at = _times(told, errors, at)
    _words(told, said, errors)
    return DiveRecord(
        operation=operation,
        diver=diver,
        diver_name=diver.name if diver else told.guest.strip(),
        in_at=in_at,
        out_at=out_at,
        mode=told.mode,
        from_record=taken.digest,
        conditions=taken.conditions,
        max_depth=_depth(told, errors),
        depth_unit=told.depth_unit,
        bottom_minutes=_minutes(told, errors),
        decompression=told.decompression,
        injury=told.injury,
        **said,
    )


def _diver(operation: Operation, told: Told, errors: Errors) -> Person | None:
    if bool(told.diver) == bool(told.guest.strip()):
        given = told.guest if told.diver else ""
        errors.append(("diver", given, "one of the agency's people, or the name of somebody else, not both"))
        return None
    if not told.diver:
        return None
    found = Person.objects.filter(agency=operation.agency_id, pk=told.diver).first()
    if found is None:
        errors.append(("diver", told.diver, "one of the agency's people"))
    return found


def _taken(operation: Operation, told: Told, errors: Errors) -> Taken:
    """The conditions of the assessment that the page showed, and no other's."""
    if not told.from_record:
        if not told.conditions_words.strip():
            words = "visibility, water temperature and current in words, since no assessment says them"
            errors.append(("conditions_words", told.conditions_words, words))
        return Taken()
    found = [one for one in of_operation(operation) if one.digest == told.from_record]
    if not found:
        errors.append(("from_record", told.from_record, "an assessment of this operation that is not void"))
    return found[0] if found else Taken()


def _times(told: Told, errors: Errors, at: datetime) -> tuple[datetime, datetime]:
    """Both times; `at` stands in for one that is missing, which the errors name."""
    if told.in_at is None or told.out_at is None:
        missing = "in_at" if told.in_at is None else "out_at"
        errors.append((missing, "nothing", "date and time"))
    elif not timedelta(0) < told.out_at - told.in_at <= LONGEST:
        errors.append(("out_at", told.out_at.isoformat(), f"after {told.in_at.isoformat()}, within 24 h of it"))
    elif told.out_at > at:
        errors.append(("out_at", told.out_at.isoformat(), f"a time that has passed: it is {at.isoformat()}"))
    return told.in_at or at, told.out_at or at


def _words(told: Told, said: dict[str, str], errors: Errors) -> None:
    if told.mode == DiveRecord.Mode.OTHER and not said["mode_words"]:
        errors.append(("mode_words", told.mode_words, "which mode of breathing it was, in words"))
    if DiveRecord.Suspected.YES in (told.decompression, told.injury) and not said["incidents"]:
        errors.append(("incidents", told.incidents, "what was suspected and what was done, in words"))


def _depth(told: Told, errors: Errors) -> Decimal | None:
    text = told.max_depth.strip().lower()
    if text in NOT_KNOWN or told.depth_unit not in DiveRecord.DepthUnit.values:
        return None  # a wrong unit the model names
    found = Decimal(text) if DEPTH.fullmatch(text) else None
    if found is None or to_si(found, told.depth_unit) > DEEPEST_M:
        accepted = f"a depth in {told.depth_unit} with one decimal at most, down to {DEEPEST_M:.0f} m, or: not known"
        errors.append(("max_depth", told.max_depth, accepted))
        return None
    return found.quantize(Decimal("0.1"))


def _minutes(told: Told, errors: Errors) -> int | None:
    """Whole minutes, no more than the dive lasted; None where it was said that they are not known."""
    text = told.bottom_minutes.strip().lower()
    if text in NOT_KNOWN:
        return None
    if not (text.isascii() and text.isdigit() and len(text) < 6):
        errors.append(("bottom_minutes", told.bottom_minutes, "whole minutes, or the words not known"))
        return None
    if told.in_at and told.out_at and timedelta(minutes=int(text)) > told.out_at - told.in_at + timedelta(minutes=1):
        errors.append(("bottom_minutes", told.bottom_minutes, "no more minutes than the diver was under water"))
    return int(text)
