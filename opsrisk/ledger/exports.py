"""Signed heads on their way to a separate place, and back for comparison."""

import json
from pathlib import Path

from django.conf import settings

from opsrisk.ledger.actions import SignedHead, head


class BadExport(ValueError):
    """A line of an export that is no signed head."""


def path() -> Path:
    """One line a head. Copy this file to another machine: what lies beside the log can be altered with it."""
    return Path(settings.DATA) / "heads.jsonl"


def write() -> SignedHead | None:
    """Adds the present head to the export, once for each size."""
    present = head()
    if present is None or any(old.size == present.size for old in read(path())):
        return None
    with path().open("a") as out:
        out.write(json.dumps(present.document(), sort_keys=True) + "\n")
    return present


def read(source: Path) -> list[SignedHead]:
    if not source.exists():
        return []
    return [_head(line, number, source) for number, line in enumerate(source.read_text().splitlines(), 1) if line]


def _head(line: str, number: int, source: Path) -> SignedHead:
    try:
        document = json.loads(line)
        fields = {name: document[name] for name in ("size", "root", "at", "key_id", "signature")}
    except (ValueError, KeyError, TypeError) as error:
        raise BadExport(f"{source.name} line {number}: given {line[:60]!r}, accepted a signed head") from error
    return SignedHead(**fields)
