"""Past operations decided again under a version: how many answers change, from what to what, and which.

What is compared are the decisions as they were signed, each under the version of its day, or with all of them as the
version in force would decide. Counts over decisions of several versions are marked as such.
"""

from binascii import hexlify
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import product
from typing import Any
from uuid import UUID

import numpy as np
from django.db.models import Count, Max

from opsrisk.agencies.models import Agency
from opsrisk.engine.decide import inputs_read
from opsrisk.engine.inputs import DECISIONS, INPUTS, Configuration, graded
from opsrisk.engine.parts import Protocol
from opsrisk.engine.replay import replay
from opsrisk.operations.models import Assessment
from opsrisk.review.facts import VALUE, basis_of
from opsrisk.review.models import PastFacts

Array = np.ndarray[Any, Any]
FIVE = len(DECISIONS)
HEX = np.dtype("S32")  # an id as the hexadecimal digits of its bytes


@dataclass(frozen=True)
class Past:
    """The assessments in force of an agency, as the engine needs them: arrays of one length."""

    ids: Array  # HEX
    versions: Array  # HEX
    decided: Array
    facts: Mapping[str, Array]
    unreadable: int

    def __len__(self) -> int:
        return len(self.ids)

    def only(self, rows: Array) -> "Past":
        """Those at which `rows` is true."""
        facts = {name: column[rows] for name, column in self.facts.items()}
        return Past(self.ids[rows], self.versions[rows], self.decided[rows], facts, self.unreadable)

    def id_at(self, place: int) -> UUID:
        return UUID(self.ids[place].decode())


def past(agency: Agency, protocol: Protocol) -> Past:
    """Everything in force that has been worked out on the basis of `protocol`."""
    basis = basis_of(protocol)
    rows = PastFacts.objects.filter(agency=agency, basis=basis)
    seen = rows.aggregate(stamp=Max("stamp"), rows=Count("pk"))
    found = _loaded(agency.pk, basis, inputs_read(protocol), seen["stamp"], seen["rows"])
    # 'More than nothing' instead of 'not null', and of all agencies: found by the index alone, where SQLite would
    # otherwise read past every long record. Only the agency's own are looked up in it.
    replaced = Assessment.objects.filter(superseded_by__gt=UUID(int=0))
    gone = np.array([pk.hex.encode() for pk in replaced.values_list("pk", flat=True)], dtype=HEX)
    return found.only(~np.isin(found.ids, gone)) if len(gone) else found


@lru_cache(maxsize=2)
def _loaded(agency: UUID, basis: str, names: tuple[str, ...], stamp: str | None, rows: int) -> Past:
    """All rows of a basis, kept while `stamp` and `rows` say that they are the same; none is ever changed."""
    kept = list(PastFacts.objects.filter(agency=agency, basis=basis).order_by("pk"))

    def joined(column: str) -> bytes:
        return b"".join(getattr(row, column) for row in kept)

    readable = np.frombuffer(joined("readable"), dtype=np.uint8).astype(bool)
    table = np.frombuffer(joined("values"), dtype=VALUE).reshape(-1, len(names))
    ids, versions = (np.frombuffer(hexlify(joined(column)), dtype=HEX)[readable] for column in ("ids", "versions"))
    decided = np.frombuffer(joined("decisions"), dtype=np.uint8)[readable].astype(np.int64)
    columns = dict(zip(names, np.ascontiguousarray(table.T), strict=True))
    for array in (ids, versions, decided, *columns.values()):
        array.flags.writeable = False  # it is handed out again
    return Past(ids, versions, decided, columns, int((~readable).sum()))


def decisions(protocol: Protocol, facts: Mapping[str, Array]) -> tuple[Array, Array]:
    """Decision and score of every row. A configuration nobody stated is decided both ways; the most cautious stands."""
    number = len(next(iter(facts.values())))
    decision, score = _decided(protocol, facts, number)
    unstated = [name for name in facts if isinstance(INPUTS[name], Configuration) and np.isnan(facts[name]).any()]
    if not unstated:
        return decision, score
    rows = np.flatnonzero(np.logical_or.reduce([np.isnan(facts[name]) for name in unstated]))
    some = {name: column[rows] for name, column in facts.items()}
    decision[rows], score[rows] = -1, -1
    for chosen in product(*(range(len(graded(name).values)) for name in unstated)):
        pairs = zip(unstated, chosen, strict=True)
        stated = {name: np.where(np.isnan(some[name]), place, some[name]) for name, place in pairs}
        tried, points = _decided(protocol, some | stated, len(rows))
        worse = (tried > decision[rows]) | ((tried == decision[rows]) & (points > score[rows]))
        decision[rows] = np.where(worse, tried, decision[rows])
        score[rows] = np.where(worse, points, score[rows])
    return decision, score


def _decided(protocol: Protocol, facts: Mapping[str, Array], number: int) -> tuple[Array, Array]:
    outcome = replay(protocol, facts)
    decision, score = (np.broadcast_to(part, (number,)) for part in (outcome.decision, outcome.score))
    return decision.astype(np.int64), score.astype(np.int64)


@dataclass(frozen=True)
class Effect:
    """What a version would have changed: `table[then][would]` counts assessments."""

    before: Array
    after: Array
    score: Array
    past: Past

    @cached_property
    def changed(self) -> Array:
        """Places of the assessments whose answer changes."""
        return np.flatnonzero(self.before != self.after)

    @cached_property
    def table(self) -> list[list[int]]:
        return counted(self.before, self.after)

    @property
    def more(self) -> int:
        return int((self.after > self.before).sum())

    @property
    def less(self) -> int:
        return int((self.after < self.before).sum())

    @cached_property
    def by_version(self) -> list[tuple[UUID, int, int, list[list[int]]]]:
        """For each version that decided then: how many it decided, how many change, and its own table."""
        found = []
        for version in np.unique(self.past.versions):
            rows = self.past.versions == version
            before, after = self.before[rows], self.after[rows]
            moved = int((before != after).sum())
            found.append((UUID(version.decode()), int(rows.sum()), moved, counted(before, after)))
        return found


def counted(before: Array, after: Array) -> list[list[int]]:
    """A table of FIVE by FIVE: how many go from what to what."""
    return np.bincount(before * FIVE + after, minlength=FIVE * FIVE).reshape(FIVE, FIVE).tolist()


def effect(protocol: Protocol, of: Past, against: tuple[Protocol, Past] | None = None) -> Effect:
    """`protocol` on the assessments `of`, beside what was decided then, or beside `against`: a version and its own
    facts. Assessments that only one of the two can be decided on are left out and counted."""
    if against is None:
        return Effect(of.decided, *_answers(protocol, of), of)
    other, facts = against
    _, ours, theirs = np.intersect1d(of.ids, facts.ids, assume_unique=True, return_indices=True)
    ours, theirs = ours[np.argsort(ours)], theirs[np.argsort(ours)]
    both = of.only(ours)
    before = _answers(other, facts.only(theirs))[0]
    return Effect(before, *_answers(protocol, both), replace(both, unreadable=of.unreadable + len(of) - len(both)))


def _answers(protocol: Protocol, of: Past) -> tuple[Array, Array]:
    return decisions(protocol, of.facts) if len(of) else (of.decided, of.decided)
