"""What is logged although no action of ours did it: refused access, reading the log, and what people sign in by."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import require

LONGEST = 200  # characters of a path
WAYS_IN = (
    "add_factor", "remove_factor", "make_recovery_codes", "see_recovery_codes",
    "set_password", "change_password", "reset_password",
)  # fmt: skip


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


@transaction.atomic
def note_way_in(*, by: Person, verb: str, kind: str = "", at: datetime) -> None:
    """That somebody changed what they sign in by, or saw their recovery codes.

    `verb` is one of WAYS_IN; `kind` totp, webauthn or recovery_codes, "" for a password. Never what it is.
    """
    if verb not in WAYS_IN:
        raise ValueError(f"verb: given {verb!r}, accepted one of {', '.join(WAYS_IN)}")
    detail = {"kind": kind} if kind else {}
    enter(by=by, at=at, agency_id=by.agency_id, verb=verb, subject=by, detail=detail)
