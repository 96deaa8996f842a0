"""An operation's photos as its archive carries them: originals as the cameras wrote them, and those that never came."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from opsrisk import files
from opsrisk.assessment.record import canonical
from opsrisk.operations.models import Operation
from opsrisk.operations.photos_shown import ShownPhoto, by_id, photos_of

LIST = "every photo that a revision or the log names, or that was announced"


@dataclass(frozen=True)
class Attachment:
    """A file that belongs to the operation besides sheets and records."""

    name: str
    data: bytes
    about: Mapping[str, Any]


def photos(operation: Operation) -> tuple[list[Attachment], list[dict[str, Any]]]:
    """Those that are here, and those that are missing, each with why."""
    rows = by_id(operation)
    shown = photos_of(operation)
    here = [Attachment("photos.json", canonical([_listed(one) for one in shown]), {"about": LIST})] if shown else []
    missing = []
    for one in shown:
        row = rows.get(str(one.id))
        data = files.unchanged(row.original, one.sha256) if row else None
        if row and data is not None:
            here.append(Attachment(f"photo-{one.id}.original", data, {**_about(one), "receipt": row.receipt}))
        else:
            why = one.missing or "the server's file is missing or not the one that was received"
            missing.append({"what": f"photo {one.caption!r}", "why": why, **_about(one), "sha256": one.sha256})
    return here, missing


def _listed(one: ShownPhoto) -> dict[str, Any]:
    about = {"id": str(one.id), "sha256": one.sha256, "caption": one.caption, "taken_at": one.taken_at}
    return about | {"named_by": one.named_by, "missing": one.missing}


def _about(one: ShownPhoto) -> dict[str, Any]:
    return {"photo": str(one.id), "caption": one.caption, "taken_at": one.taken_at, "named_by": one.named_by}
