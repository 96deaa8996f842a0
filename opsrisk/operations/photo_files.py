"""Where a photo's files lie: below `settings.FILES`, under names made here and never given by anybody."""

from __future__ import annotations

import os
from pathlib import Path

from django.conf import settings

from opsrisk.operations.models import Photo


def keep(photo: Photo, data: bytes, kind: str) -> str:
    """Writes the file whole, flushed to the disk, or not at all; the same file again is the same path."""
    path = f"photos/{photo.operation.agency_id}/{photo.pk}-{photo.sha256[:16]}.{kind}"
    target = Path(settings.FILES) / path
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    draft = target.with_suffix(f".{os.getpid()}.draft")
    with open(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
    draft.replace(target)
    folder = os.open(target.parent, os.O_RDONLY)  # the name has to reach the disk too
    os.fsync(folder)
    os.close(folder)
    return path


def read(path: str) -> bytes:
    return (Path(settings.FILES) / path).read_bytes()
