"""Everything of one moment that an archive tells: rows, page and log belong together, and the lock is held briefly.

Files of sheets and photos never change once they are written, so they are only named here and read later.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from opsrisk.briefing.inquiry import gather
from opsrisk.briefing.inquiry.photos import KnownPhoto, known
from opsrisk.ledger.actions import SignedHead, head, hold_still
from opsrisk.ledger.models import Entry
from opsrisk.operations.briefed import corrections_of, rounds_of, voids_of
from opsrisk.operations.models import Operation
from opsrisk.operations.shown import shown
from opsrisk.operations.side_by_side import log_rows
from opsrisk.protocols.models import ProtocolVersion


@dataclass(frozen=True)
class Moment:
    operation: Operation
    revisions: list[gather.Revision]
    sheets: list[gather.SealedSheet]
    photos: list[KnownPhoto]
    protocols: list[ProtocolVersion]
    lines: list[bytes]
    told: dict[str, Any]  # rounds, corrections, voids
    entries: list[Entry]
    head: SignedHead | None
    to_read: dict[str, Any]  # revisions and lines in the words of the desk, for the page


@transaction.atomic
def moment(pk: UUID) -> Moment:
    """The operation as it stands now. Every write waits for the head's row, so nothing slow is done here."""
    hold_still()
    operation = Operation.objects.select_related("agency").get(pk=pk)
    revisions = gather.revisions(operation)
    return Moment(
        operation=operation,
        revisions=revisions,
        sheets=gather.sheets(operation),
        photos=known(operation),
        protocols=gather.protocols(revisions),
        lines=gather.lines(operation),
        told=_told(operation),
        entries=gather.entries(operation, revisions),
        head=head(),
        to_read={
            "revisions": [{"one": one, **shown(one.row)} for one in revisions],
            "lines": list(log_rows(operation)),
        },
    )


def _told(operation: Operation) -> dict[str, Any]:
    """What records, log lines and entries tell together, for reading: rounds of the briefing, corrections, voids."""
    found = {
        "rounds": rounds_of(operation),
        "corrections": corrections_of(operation),
        "voids": voids_of(operation),
    }
    told: dict[str, Any] = json.loads(json.dumps(found, default=_iso))
    return told


def _iso(at: datetime) -> str:
    return at.isoformat()
