"""What is logged although it changes nothing: refused access, and reading the log itself."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import require

LONGEST = 200  # characters of a path


@transaction.atomic
def note_refusal(*, person: Person, method: str, path: str, status: int, at: datetime) -> None:
    """That somebody who is signed in asked for what is not theirs: 403, or a thing by its id that they may not know."""
    detail = {"method": method[:10], "path": path[:LONGEST], "status": status}
    enter(by=person, at=at, agency_id=person.agency_id, verb="refused", subject=person, detail=detail)


@transaction.atomic
def note_log_read(*, by: Person, asked: Mapping[str, str], at: datetime) -> None:
    """That somebody read the agency's log, and what they looked for in it."""
    require(by, "read_ledger")
    enter(by=by, at=at, agency_id=by.agency_id, verb="read_log", subject=by, detail=dict(asked))
