"""An operation's photos as its archive carries them: originals as the cameras wrote them, and those that never came."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from opsrisk import files
from opsrisk.assessment.record import canonical
from opsrisk.operations.models import Operation, Photo
from opsrisk.operations.photos_shown import ShownPhoto, by_id, photos_of

LIST = "every photo that a revision or the log names, or that was announced"


@dataclass(frozen=True)
class Attachment:
    """A file that belongs to the operation besides sheets and records."""

    name: str
    data: bytes
    about: Mapping[str, Any]


@dataclass(frozen=True)
class KnownPhoto:
    """A photo as rows tell of it; its original, which never changes, is read later."""

    shown: ShownPhoto
    path: str  # below settings.FILES; "" where no such file was received
    size: int  # bytes of what lies there
    receipt: str


def known(operation: Operation) -> list[KnownPhoto]:
    """Every photo of the operation, here or missing."""
    rows = by_id(operation)
    return [_known(one, rows.get(str(one.id))) for one in photos_of(operation)]


def _known(one: ShownPhoto, row: Photo | None) -> KnownPhoto:
    if row is None or one.missing or row.sha256 != one.sha256:
        return KnownPhoto(one, "", 0, "")
    return KnownPhoto(one, row.original, row.size, row.receipt)


def attached(found: Sequence[KnownPhoto]) -> tuple[list[Attachment], list[dict[str, Any]]]:
    """Those whose file is here, and those that are missing, each with why."""
    listed = canonical([_listed(each.shown) for each in found])
    here = [Attachment("photos.json", listed, {"about": LIST})] if found else []
    missing = []
    for each in found:
        one, data = each.shown, files.unchanged(each.path, each.shown.sha256)
        if data is not None:
            here.append(Attachment(f"photo-{one.id}.original", data, {**_about(one), "receipt": each.receipt}))
        else:
            why = one.missing or "the server's file is missing or not the one that was received"
            missing.append({"what": f"photo {one.caption!r}", "why": why, **_about(one), "sha256": one.sha256})
    return here, missing


def _listed(one: ShownPhoto) -> dict[str, Any]:
    about = {"id": str(one.id), "sha256": one.sha256, "caption": one.caption, "taken_at": one.taken_at}
    return about | {"named_by": one.named_by, "missing": one.missing}


def _about(one: ShownPhoto) -> dict[str, Any]:
    return {"photo": str(one.id), "caption": one.caption, "taken_at": one.taken_at, "named_by": one.named_by}
