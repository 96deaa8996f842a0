"""Photos as a page or an export lists them: what was named and is not here is said to be missing, never left out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from opsrisk.operations.models import Assessment, LogEntry, Operation, Photo

MISSING = "MISSING: not all of it has arrived here"
OTHER = "MISSING: another file than the one that was named is here"


@dataclass(frozen=True)
class ShownPhoto:
    id: UUID
    sha256: str
    caption: str
    taken_at: str  # as its tablet wrote it
    missing: str  # why, in words; "" if it is here
    received_at: datetime | None
    named_by: str  # what names it: a revision, the log, or nothing


def named_in(record: Mapping[str, Any], photos: Mapping[str, Photo], named_by: str = "") -> list[ShownPhoto]:
    """The photos that a signed record names, in its order."""
    return [_shown(one, photos.get(one["id"]), named_by) for one in record.get("photos", [])]


def by_id(operation: Operation) -> dict[str, Photo]:
    return {str(photo.pk): photo for photo in operation.photos.order_by("taken_at", "pk")}


def photos_of(operation: Operation) -> list[ShownPhoto]:
    """Every photo of an operation once: named by a revision, by a line of the log, or announced alone.

    One is its number and its file together: who names another file under the same number hides nothing that came.
    """
    photos = by_id(operation)
    found: dict[tuple[UUID, str], ShownPhoto] = {}
    for row in operation.assessments.order_by("revision", "received_at"):
        for one in named_in(json.loads(row.record), photos, f"revision {row.revision}"):
            found.setdefault((one.id, one.sha256), one)
    for line in operation.log.filter(kind=LogEntry.Kind.PHOTO).order_by("entry"):
        content = json.loads(line.text)["content"]
        shown = _shown(content, photos.get(content["id"]), "the log")
        found.setdefault((shown.id, shown.sha256), shown)
    for photo in photos.values():
        alone = {"id": str(photo.pk), "sha256": photo.sha256, "caption": photo.caption}
        alone["taken_at"] = json.loads(photo.manifest)["taken_at"]
        found.setdefault((photo.pk, photo.sha256), _shown(alone, photo, "nothing that was signed or logged"))
    return list(found.values())


def of_assessment(assessment: Assessment, record: Mapping[str, Any]) -> list[ShownPhoto]:
    return named_in(record, by_id(assessment.operation)) if record.get("photos") else []


def _shown(named: Mapping[str, Any], photo: Photo | None, named_by: str) -> ShownPhoto:
    missing, received = MISSING, None
    if photo is not None and photo.sha256 != named["sha256"]:
        missing = OTHER
    elif photo is not None and photo.state == Photo.State.REFUSED:
        missing = f"MISSING: refused, {photo.reason}"
    elif photo is not None and photo.received_at:
        missing, received = "", photo.received_at
    about = {name: str(named[name]) for name in ("sha256", "caption", "taken_at")}
    return ShownPhoto(id=UUID(named["id"]), **about, missing=missing, received_at=received, named_by=named_by)
