"""What the numbers of a protocol rest on: published cases, the own record, and where each number comes from."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from opsrisk.engine.inputs import DECISIONS
from opsrisk.engine.parts import Protocol
from opsrisk.protocols.places import Place, entry_at, places
from opsrisk.protocols.table import TITLES
from opsrisk.protocols.words import source_words, title_of
from opsrisk.review.investigations import CaseResult, groups, run_cases

FEW = 10  # of fewer no share is given: one more or less would move it by ten of a hundred

# What a number may rest on, from most to least: kind and status of its source.
GROUNDS = {
    ("published", "read"): "published, read in the document",
    ("published", "second-hand"): "published, as quoted by others",
    ("published", "memory"): "published, from memory",
    ("practice", ""): "common practice",
    ("agency", ""): "agency's choice",
}

SCORE_IS_NOT = (
    "It is no probability. Fifty points are not half a chance of anything, and forty are not twice as good as eighty.",
    "Its points are judgement, argued from published investigations and common practice. Nobody has measured them.",
    "It is no measure of a team. A high score says that the water was hard, not that people were careless.",
    "It never buys back a stop: a stop stands whatever the score.",
    "Scores under two versions of a protocol are two scales. They are not averaged and not compared.",
    "A low score says that no configured limit was exceeded. What nobody configured is not in it.",
    "It is tried on cases known to whoever wrote the numbers. That finds blind spots; it is no rate of detection.",
)


def share(number: int, of: int) -> str:
    """'3 of 7'; with a percentage from ten on."""
    counted = f"{number} of {of}"
    return counted if of < FEW else f"{counted} ({100 * number / of:.0f} %)"


@dataclass(frozen=True)
class Tried:
    """A group of published cases under a protocol."""

    name: str
    hits: str
    flags: str


@lru_cache(maxsize=8)
def cases(protocol: Protocol) -> tuple[CaseResult, ...]:
    """`protocol` on every published case; kept, as neither of them changes."""
    return tuple(run_cases(protocol))


def tried(protocol: Protocol) -> Iterator[Tried]:
    """Hits of each group, and flags found of those that a reader would have raised."""
    for name, group in groups(cases(protocol)):
        found, missed = (sum(len(flags) for flags in column) for column in _flags(group))
        yield Tried(name, share(sum(case.hit for case in group), len(group)), share(found, found + missed))


def _flags(group: Iterable[CaseResult]) -> tuple[list[tuple[str, ...]], list[tuple[str, ...]]]:
    return [case.flags_found for case in group], [case.flags_missed for case in group]


@dataclass(frozen=True)
class Answered:
    """How one answer was met under one version: counts of how many."""

    decision: str
    number: int
    judged_less: str  # the own judgement, before the answer was shown
    judged_more: str
    chosen_less: str
    chosen_more: str


@dataclass(frozen=True)
class Record:
    """The agency's own assessments under one version."""

    version: str
    number: int
    answers: tuple[Answered, ...]


def own_record(rows: Iterable[tuple[str, str, str, str, int]]) -> list[Record]:
    """From (version, decision, own judgement, chosen, how many): one record a version, never two together."""
    by_version: dict[str, list[tuple[int, int, int, int]]] = {}
    for version, decision, own, chosen, number in rows:
        steps = [DECISIONS.index(each) for each in (decision, own, chosen)]
        by_version.setdefault(version, []).append((steps[0], steps[1], steps[2], number))
    return [
        Record(version, sum(row[3] for row in given), tuple(_answered(given))) for version, given in by_version.items()
    ]


def _answered(rows: list[tuple[int, int, int, int]]) -> Iterator[Answered]:
    for place, name in enumerate(DECISIONS):
        given = [row for row in rows if row[0] == place]
        number = sum(row[3] for row in given)
        counts = (
            sum(row[3] for row in given if (row[column] < place if less else row[column] > place))
            for column in (1, 2)
            for less in (True, False)
        )
        yield Answered(name, number, *(share(count, number) if number else "-" for count in counts))


@dataclass(frozen=True)
class Grounds:
    """What the numbers of a protocol rest on."""

    table: tuple[tuple[str, tuple[int, ...], int], ...]  # section, how many on each ground, in all
    totals: tuple[str, ...]
    number: int
    weak: tuple[tuple[str, str, str], ...]  # numbers from memory or as quoted: section, what, where from


def grounds(document: Mapping[str, Any]) -> Grounds:
    """Every entry with a source, counted by section and ground; those nobody has read in the document, by name."""
    sourced = [(place, entry) for place in places(document) if isinstance(entry := entry_at(document, place), dict)]
    counted = {
        section: Counter(_ground(entry) for place, entry in sourced if place.section == section) for section in TITLES
    }
    table = tuple(
        (TITLES[section], tuple(found[ground] for ground in GROUNDS), sum(found.values()))
        for section, found in counted.items()
        if found
    )
    totals = tuple(share(sum(row[1][column] for row in table), len(sourced)) for column in range(len(GROUNDS)))
    return Grounds(table, totals, len(sourced), tuple(_weak(sourced)))


def _ground(entry: Mapping[str, Any]) -> tuple[str, str]:
    source = entry["source"]
    return source["kind"], source.get("status", "") if source["kind"] == "published" else ""


def _weak(sourced: Iterable[tuple[Place, Mapping[str, Any]]]) -> Iterator[tuple[str, str, str]]:
    for place, entry in sourced:
        if _ground(entry) in (("published", "memory"), ("published", "second-hand")):
            yield TITLES[place.section], title_of(place, entry), source_words(entry["source"])
