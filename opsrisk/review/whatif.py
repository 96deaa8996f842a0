"""Past operations decided again under a version: how many answers change, from what to what, and which.

What is compared are the decisions as they were signed, each under the version of its day, or with all of them as the
version in force would decide. Counts over decisions of several versions are marked as such.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any
from uuid import UUID

import numpy as np

from opsrisk.agencies.models import Agency
from opsrisk.engine.inputs import DECISIONS, INPUTS, Configuration, graded
from opsrisk.engine.parts import Protocol
from opsrisk.engine.replay import replay
from opsrisk.operations.models import Assessment
from opsrisk.review.facts import basis_of, columns
from opsrisk.review.models import PastFacts

Array = np.ndarray[Any, Any]
FIVE = len(DECISIONS)


@dataclass(frozen=True)
class Past:
    """The assessments in force of an agency, as the engine needs them. All arrays and lists are of one length."""

    ids: Sequence[UUID]
    versions: Sequence[UUID]
    decided: Array
    facts: dict[str, Array]
    unreadable: int

    def __len__(self) -> int:
        return len(self.ids)


def past(agency: Agency, protocol: Protocol) -> Past:
    """Everything that has been worked out on the basis of `protocol`."""
    rows = PastFacts.objects.filter(agency=agency, basis=basis_of(protocol)).order_by("pk")
    replaced = set(
        Assessment.objects.filter(superseded_by__isnull=False, operation__agency=agency).values_list("pk", flat=True)
    )
    found = [
        row
        for row in rows.values_list("assessment_id", "version_id", "decision", "values").iterator(chunk_size=10_000)
        if row[0] not in replaced
    ]
    read = [row for row in found if row[3]]
    return Past(
        ids=[row[0] for row in read],
        versions=[row[1] for row in read],
        decided=np.fromiter((row[2] for row in read), dtype=np.int64, count=len(read)),
        facts=columns(protocol, (row[3] for row in read)),
        unreadable=len(found) - len(read),
    )


def decisions(protocol: Protocol, facts: dict[str, Array]) -> tuple[Array, Array]:
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


def _decided(protocol: Protocol, facts: dict[str, Array], number: int) -> tuple[Array, Array]:
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
        order = Counter(self.past.versions)
        codes = {version: code for code, version in enumerate(order)}
        of = np.fromiter((codes[version] for version in self.past.versions), dtype=np.int64, count=len(self.past))
        found = []
        for version, code in codes.items():
            before, after = self.before[of == code], self.after[of == code]
            found.append((version, order[version], int((before != after).sum()), counted(before, after)))
        return found


def counted(before: Array, after: Array) -> list[list[int]]:
    """A table of FIVE by FIVE: how many go from what to what."""
    return np.bincount(before * FIVE + after, minlength=FIVE * FIVE).reshape(FIVE, FIVE).tolist()


def effect(protocol: Protocol, of: Past, against: tuple[Protocol, Past] | None = None) -> Effect:
    """`protocol` on the assessments `of`, beside what was decided then, or beside `against`: a version and its own
    facts, which have to be of the same assessments."""
    after, score = decisions(protocol, of.facts) if len(of) else (of.decided, of.decided)
    before = of.decided
    if against is not None and len(of):
        other, facts = against
        found = dict(zip(facts.ids, decisions(other, facts.facts)[0].tolist(), strict=True))
        before = np.fromiter((found.get(pk, -1) for pk in of.ids), dtype=np.int64, count=len(of))
        known = before >= 0
        of = _only(of, known)
        before, after, score = before[known], after[known], score[known]
    return Effect(before, after, score, of)


def _only(of: Past, rows: Array) -> Past:
    kept = [place for place, here in enumerate(rows) if here]
    facts = {name: column[rows] for name, column in of.facts.items()}
    ids, versions = [of.ids[place] for place in kept], [of.versions[place] for place in kept]
    return Past(ids, versions, of.decided[rows], facts, of.unreadable + len(of) - len(kept))
