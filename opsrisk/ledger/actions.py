"""Append to the log, and show that nobody altered it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from django.db import connection, transaction
from django.utils import timezone

from opsrisk.assessment.record import canonical
from opsrisk.ledger import chain, signing
from opsrisk.ledger.models import Entry, Head

HEAD_FORMAT = "opsrisk.head/1"
SYSTEM = "system"


class NotInTransaction(RuntimeError):
    """An entry without its business write, or the reverse, must not be possible."""


@dataclass(frozen=True)
class SignedHead:
    """What is exported to a separate place: later nobody can shorten or rewrite the log unseen."""

    size: int
    root: str
    at: str
    key_id: str
    signature: str

    def document(self) -> dict[str, object]:
        return {"format": HEAD_FORMAT, **self.__dict__}


@dataclass(frozen=True)
class Problem:
    index: int | None
    what: str


@dataclass(frozen=True)
class Report:
    size: int
    root: str
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class NewEntry:
    """What somebody did, before it has a place in the log."""

    by: str
    by_name: str
    at: datetime
    agency_id: UUID | None
    verb: str
    subject_type: str
    subject_id: str
    detail: Mapping[str, Any]


def append(
    *,
    by: str,
    by_name: str,
    at: datetime,
    agency_id: UUID | None,
    verb: str,
    subject_type: str,
    subject_id: str,
    detail: Mapping[str, Any],
) -> Entry:
    """Adds one entry in the caller's transaction and signs the new head. Callers queue on the head's row."""
    return append_all([NewEntry(by, by_name, at, agency_id, verb, subject_type, subject_id, detail)])[0]


def append_all(new: Iterable[NewEntry]) -> list[Entry]:
    """Adds entries in their order, all or none, under one new signed head."""
    if not connection.in_atomic_block:
        raise NotInTransaction("append: given no transaction, accepted only inside the transaction of what it records")
    head, _ = Head.objects.select_for_update().get_or_create(pk=1, defaults={"root": chain.EMPTY_ROOT.hex()})
    now = timezone.now()
    entries = [_entry(index, one, now) for index, one in enumerate(new, start=head.size)]
    Entry.objects.bulk_create(entries, batch_size=500)
    if entries:
        _move(head, [bytes.fromhex(entry.leaf_hash) for entry in entries], now)
    return entries


def _entry(index: int, new: NewEntry, now: datetime) -> Entry:
    entry = Entry(
        index=index,
        at=new.at.astimezone(UTC),
        logged_at=now,
        agency_id=new.agency_id,
        actor=new.by,
        actor_name=new.by_name,
        verb=new.verb,
        subject_type=new.subject_type,
        subject_id=new.subject_id,
        detail=canonical(dict(new.detail)).decode(),
    )
    entry.leaf_hash = chain.leaf_hash(entry_bytes(entry)).hex()
    return entry


def hold_still() -> None:
    """Until the caller's transaction ends nothing can be appended, hence nothing done: rows and log go together."""
    if not connection.in_atomic_block:
        raise NotInTransaction("hold_still: given no transaction, accepted only inside the one that reads")
    list(Head.objects.select_for_update().filter(pk=1))


def entry_bytes(entry: Entry) -> bytes:
    """What is hashed: every field of the entry but the hash itself, in canonical JSON."""
    return canonical(
        {
            "index": entry.index,
            "at": _stamp(entry.at),
            "logged_at": _stamp(entry.logged_at),
            "agency": str(entry.agency_id) if entry.agency_id else None,
            "actor": entry.actor,
            "actor_name": entry.actor_name,
            "verb": entry.verb,
            "subject_type": entry.subject_type,
            "subject_id": entry.subject_id,
            "detail": entry.detail,
        }
    )


def head() -> SignedHead | None:
    """The present head; None while nothing was ever logged."""
    row = Head.objects.filter(pk=1, size__gt=0).first()
    if row is None or row.at is None:
        return None
    return SignedHead(row.size, row.root, _stamp(row.at), row.key_id, row.signature)


def head_holds(given: SignedHead) -> bool:
    """Whether one of this server's keys signed exactly this head."""
    try:
        return signing.verify(
            _head_bytes(given.size, given.root, given.at), signing.Signed(given.key_id, given.signature)
        )
    except signing.UnknownKey:
        return False


def verify(*, exported: Iterable[SignedHead] = ()) -> Report:
    """Recomputes the whole log from its rows and compares it with the head and with heads exported earlier."""
    problems: list[Problem] = []
    wanted: dict[int, list[SignedHead]] = {}
    for each in exported:
        wanted.setdefault(each.size, []).append(each)
    peaks: list[tuple[int, bytes]] = []
    size = 0
    for entry in Entry.objects.order_by("index").iterator(chunk_size=2000):
        if entry.index != size:
            problems.append(Problem(entry.index, f"entry {size} is missing or out of place"))
            size = entry.index
        leaf = chain.leaf_hash(entry_bytes(entry))
        if leaf.hex() != entry.leaf_hash:
            problems.append(Problem(entry.index, "the entry was altered after it was written"))
        peaks = chain.grow(peaks, leaf)
        size += 1
        problems += [problem for old in wanted.pop(size, []) for problem in _differences(old, peaks)]
    root = chain.root_of(peaks).hex()
    problems += [Problem(None, f"the log was cut: {old} entries were exported, {size} are here") for old in wanted]
    return Report(size, root, tuple(problems + _head_problems(size, root)))


def rotate_key(*, by: str, by_name: str, at: datetime) -> str:
    """Puts a new server key in use and logs it, signed by the new key. Returns its id."""
    with transaction.atomic():
        old, new = signing.rotate(_stamp(at))
        append(
            by=by,
            by_name=by_name,
            at=at,
            agency_id=None,
            verb="rotate_key",
            subject_type="key",
            subject_id=new,
            detail={"replaces": old, "public_key": signing.public_keys()[new]},
        )
    return new


def _move(row: Head, leaves: Sequence[bytes], at: datetime) -> None:
    peaks = [(count, bytes.fromhex(peak)) for count, peak in json.loads(row.peaks)]
    for leaf in leaves:
        peaks = chain.grow(peaks, leaf)
    row.size += len(leaves)
    row.root = chain.root_of(peaks).hex()
    row.peaks = json.dumps([(count, peak.hex()) for count, peak in peaks])
    row.at = at
    signed = signing.sign(_head_bytes(row.size, row.root, _stamp(at)))
    row.key_id, row.signature = signed.key_id, signed.signature
    row.save()


def _head_bytes(size: int, root: str, at: str) -> bytes:
    return canonical({"format": HEAD_FORMAT, "size": size, "root": root, "at": at})


def _head_problems(size: int, root: str) -> list[Problem]:
    present = head()
    if present is None:
        return [Problem(None, f"{size} entries and no head")] if size else []
    found = []
    if (present.size, present.root) != (size, root):
        found.append(
            Problem(None, f"the head speaks of {present.size} entries, root {present.root[:16]}; found {size}")
        )
    if not head_holds(present):
        found.append(Problem(None, "the head's signature does not hold"))
    return found


def _differences(old: SignedHead, peaks: list[tuple[int, bytes]]) -> list[Problem]:
    if not head_holds(old):
        return [Problem(None, f"the exported head of {old.size} entries was not signed here")]
    if chain.root_of(peaks).hex() != old.root:
        return [Problem(None, f"the first {old.size} entries are not those that were exported at {old.at}")]
    return []


def _stamp(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="microseconds")
