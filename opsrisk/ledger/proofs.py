"""That one entry is in the log, so that somebody without the log can check it (by chain.py and the public key)."""

from typing import Any

from opsrisk.ledger import chain
from opsrisk.ledger.actions import entry_bytes, head
from opsrisk.ledger.models import Entry


class NoHead(RuntimeError):
    """An entry without a head over it cannot be; the log was tampered with."""


def inclusion(entry: Entry) -> dict[str, Any]:
    """The entry's bytes, the signed head, and the neighbours that lead from the one to the other."""
    present = head()
    if present is None:
        raise NoHead("the log has entries and no head")
    hashes = Entry.objects.filter(index__lt=present.size).order_by("index").values_list("leaf_hash", flat=True)
    path = chain.inclusion_proof([bytes.fromhex(one) for one in hashes], entry.index)
    return {
        "entry": entry_bytes(entry).decode(),
        "index": entry.index,
        "path": [node.hex() for node in path],
        "head": present.document(),
    }
