"""That one entry is in the log, so that somebody without the log can check it (by chain.py and the public key)."""

from collections.abc import Iterable, Sequence
from typing import Any

from opsrisk.ledger import chain
from opsrisk.ledger.actions import SignedHead, entry_bytes, head
from opsrisk.ledger.models import Entry


class NoHead(RuntimeError):
    """An entry without a head over it cannot be; the log was tampered with."""


def inclusion(entry: Entry) -> dict[str, Any]:
    """The entry's bytes, the signed head, and the neighbours that lead from the one to the other."""
    found = slice_of([entry], ())
    return {
        "entry": entry_bytes(entry).decode(),
        "index": entry.index,
        "path": found["proofs"][str(entry.index)],
        "head": found["head"],
    }


def slice_of(
    entries: Sequence[Entry], earlier: Iterable[SignedHead], under: SignedHead | None = None
) -> dict[str, Any]:
    """Some entries of the log with a head over them, how each leads to it, and that it continues `earlier` heads.

    `under` is a head that was read together with the entries; without it the present one. The log below a head never
    changes, so this may be worked out after others have written on.
    """
    present = under or head()
    if present is None:
        raise NoHead("the log has entries and no head")
    hashes = Entry.objects.filter(index__lt=present.size).order_by("index").values_list("leaf_hash", flat=True)
    tree = chain.Tree([bytes.fromhex(one) for one in hashes])
    return {
        "head": present.document(),
        "entries": b"".join(entry_bytes(one) + b"\n" for one in entries),
        "proofs": {str(one.index): _hex(tree.inclusion(one.index)) for one in entries},
        "heads": [
            one.document() | {"consistency": _hex(tree.consistency(one.size))}
            for one in earlier
            if 0 < one.size <= present.size
        ],
    }


def _hex(path: Iterable[bytes]) -> list[str]:
    return [node.hex() for node in path]
