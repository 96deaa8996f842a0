"""Setting how long the agency keeps each kind of record."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Agency, Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import LEAST_REASON, Refused, checked
from opsrisk.records.models import RetentionPolicy
from opsrisk.records.retention import BY_NAME

MOST_YEARS = 100


@transaction.atomic
def set_retention(
    *, agency: Agency, years: Mapping[str, str], reason: str, by: Person, at: datetime
) -> RetentionPolicy:
    """Replaces the periods in force; a kind without one is kept for ever. Nothing is deleted by it.

    A period shorter than the longest published least time takes a reason. Raises Refused naming every bad field.
    """
    if by.agency_id != agency.pk:
        raise NotAllowed("another agency's records are not yours to keep")
    require(by, "set_retention")
    errors: list[tuple[str, object, str]] = [
        (name, years[name], "one of " + ", ".join(BY_NAME)) for name in years if name not in BY_NAME
    ]
    set_to = {}
    for name in (name for name in BY_NAME if years.get(name, "").strip()):
        text = years[name].strip()
        if text.isascii() and text.isdigit() and 1 <= int(text[:4]) <= MOST_YEARS and len(text) < 4:
            set_to[name] = int(text)
        else:
            errors.append((name, years[name], f"whole years from 1 to {MOST_YEARS}, or nothing: kept for ever"))
    short = [name for name, given in set_to.items() if given < BY_NAME[name].least]
    if short and len(reason.strip()) < LEAST_REASON:
        told = ", ".join(f"{BY_NAME[name].words} ({BY_NAME[name].least} years)" for name in short)
        accepted = f"why these are kept for less than was published, at least {LEAST_REASON} characters: {told}"
        errors.append(("reason", reason, accepted))
    if errors:
        raise Refused(*errors)
    Agency.objects.select_for_update().get(pk=agency.pk)  # two at once get two numbers
    number = agency.retention_policies.count() + 1
    row = RetentionPolicy(agency=agency, number=number, years=set_to, reason=reason.strip(), by=by, at=at)
    checked(row).save(force_insert=True)
    detail = {"number": number, "years": set_to, "reason": row.reason}
    enter(by=by, at=at, agency_id=agency.pk, verb="set_retention", subject=row, detail=detail)
    return row
