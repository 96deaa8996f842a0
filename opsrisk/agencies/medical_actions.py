"""Noting that somebody was examined for diving: two dates. What the physician found is never kept here."""

from datetime import date, datetime, timedelta

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Examination, Person
from opsrisk.agencies.papers import today
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import Refused, checked

LONGEST = timedelta(days=5 * 366)  # longer is a slip of the hand: it would hide that somebody is due


@transaction.atomic
def note_examination(*, person: Person, examined_on: date, valid_until: date, by: Person, at: datetime) -> Examination:
    """The last one noted stands; a wrong one is put right by noting the right one. Raises Refused."""
    if by.agency_id != person.agency_id:
        raise NotAllowed("another agency's people are not yours to note")
    require(by, "note_medical")
    errors: list[tuple[str, object, str]] = []
    now = today(person, at)
    if examined_on > now:
        errors.append(("examined_on", examined_on, f"a day that has come: today is {now}"))
    if not examined_on < valid_until <= examined_on + LONGEST:
        errors.append(("valid_until", valid_until, f"a day after {examined_on}, five years later at most"))
    if errors:
        raise Refused(*errors)
    row = Examination(person=person, examined_on=examined_on, valid_until=valid_until, by=by, at=at)
    checked(row).save(force_insert=True)
    detail = {"examined_on": examined_on.isoformat(), "valid_until": valid_until.isoformat()}
    enter(by=by, at=at, agency_id=by.agency_id, verb="note_examination", subject=person, detail=detail)
    return row
