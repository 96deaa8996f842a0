"""One key, one answer: what was answered to a request is kept, and given again to its repetition."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from opsrisk.agencies.models import Person
from opsrisk.agencies.refusals import Refused
from opsrisk.operations.models import Receipt

LONGEST_KEY = 120
# Longer than any request runs: a server process that died left its key behind, and the next request takes it over.
ABANDONED = timedelta(seconds=60)


class KeyMissing(Refused):
    """A record without a key could be stored twice."""


class StillRunning(Refused):
    """The first request with this key has not been answered yet."""


class KeyReused(Refused):
    """This key belongs to another body."""


@dataclass(frozen=True)
class Answer:
    status: int
    response: str  # canonical JSON
    replayed: bool


def claim(*, key: str, body: bytes, by: Person, at: datetime) -> Answer | Receipt:
    """The stored answer to `key`, or the receipt that the caller now has to fill or delete."""
    if not 1 <= len(key) <= LONGEST_KEY or not key.isascii() or not key.isprintable():
        raise KeyMissing(
            ("Idempotency-Key", key, f"a header of 1 to {LONGEST_KEY} printable characters, made once for this record")
        )
    sha256 = hashlib.sha256(body).hexdigest()
    receipt, made = Receipt.objects.get_or_create(
        agency=by.agency, key=key, defaults={"person": by, "body_sha256": sha256, "started_at": at}
    )
    if made:
        return receipt
    if receipt.body_sha256 != sha256:
        raise KeyReused(("Idempotency-Key", key, "a new key: this one came with another body"))
    if receipt.status is not None:
        return Answer(receipt.status, receipt.response, replayed=True)
    return _take_over(receipt, at)


def _take_over(receipt: Receipt, at: datetime) -> Receipt:
    """Only one request gets an abandoned key: the update names the start that it saw."""
    stale = Receipt.objects.filter(pk=receipt.pk, status__isnull=True, started_at=receipt.started_at)
    if at - receipt.started_at < ABANDONED or not stale.update(started_at=at):
        raise StillRunning(
            ("Idempotency-Key", receipt.key, "the same request again in a moment: the first is being answered")
        )
    receipt.started_at = at
    return receipt
