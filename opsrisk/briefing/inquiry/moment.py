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
from opsrisk.operations.models import Imported, Operation
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
    found: dict[str, Any] = {
        "rounds": rounds_of(operation),
        "corrections": corrections_of(operation),
        "voids": voids_of(operation),
    }
    file = Imported.objects.filter(operation=operation).select_related("of").first()
    if file:
        found["imported"] = _of_a_file(file)
    told: dict[str, Any] = json.loads(json.dumps(found, default=_iso))
    return told


def _of_a_file(row: Imported) -> dict[str, Any]:
    """What a file told of an operation from before this program, and which file it was."""
    plain = {
        name: getattr(row, name) for name in ("line", "reference", "diver_minutes", "vehicle_minutes", "visibility")
    }
    chosen = {name: getattr(row, f"get_{name}_display")() for name in ("done", "injuries", "near_miss", "found_by")}
    return {"file": row.of.name, "sha256": row.of.sha256, "at": row.of.at, **plain, **chosen}


def _iso(at: datetime) -> str:
    return at.isoformat()
