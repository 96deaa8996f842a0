"""Files that the program makes or takes in: kept whole, below `settings.FILES`, and handed out only unchanged.

Names are made here and in the apps, never given by anybody.
"""

import hashlib
import os
import tempfile
from pathlib import Path

from django.conf import settings


def keep(path: str, data: bytes) -> None:
    """Writes `data` at `path`, flushed to the disk, whole or not at all. The same file again may take its place."""
    target = Path(settings.FILES) / path
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    handle, draft = tempfile.mkstemp(dir=target.parent, suffix=".draft")  # for its owner alone
    with os.fdopen(handle, "wb") as out:
        out.write(data)
        out.flush()
        os.fsync(out.fileno())
    Path(draft).replace(target)
    folder = os.open(target.parent, os.O_RDONLY)  # the name has to reach the disk too
    os.fsync(folder)
    os.close(folder)


def read(path: str) -> bytes | None:
    """What lies at `path`; None where nothing does."""
    found = Path(settings.FILES) / path
    return found.read_bytes() if path and found.is_file() else None


def unchanged(path: str, sha256: str) -> bytes | None:
    """The file at `path` if it is still the one with that digest; None where it is missing or was changed."""
    data = read(path)
    return data if data is not None and hashlib.sha256(data).hexdigest() == sha256 else None
