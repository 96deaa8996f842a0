"""The photos of an operation in its archive: each as the camera wrote it, and a list that tells what is missing."""

from __future__ import annotations

from collections.abc import Iterator

from opsrisk.assessment.record import canonical
from opsrisk.briefing.inquiry.archive import Attachment
from opsrisk.operations.models import Operation
from opsrisk.operations.photo_files import read
from opsrisk.operations.photos_shown import by_id, photos_of


def attachments(operation: Operation) -> list[Attachment]:
    """Originals, and `photos.json` with every photo that is named, received or not; nothing where there is none."""
    shown = photos_of(operation)
    if not shown:
        return []
    listed = [
        {"id": str(one.id), "sha256": one.sha256, "caption": one.caption, "taken_at": one.taken_at}
        | {"named_by": one.named_by, "missing": one.missing}
        for one in shown
    ]
    about = {"about": "every photo that a revision or the log names, or that was announced"}
    return [Attachment("photos.json", canonical(listed), about), *_originals(operation)]


def _originals(operation: Operation) -> Iterator[Attachment]:
    for photo in by_id(operation).values():
        if photo.received_at:
            about = {"photo": str(photo.pk), "caption": photo.caption, "receipt": photo.receipt}
            yield Attachment(f"photo-{photo.pk}.original", read(photo.original), about)
