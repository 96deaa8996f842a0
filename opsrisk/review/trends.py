"""Figures over the listed assessments: counts with what they are counts of, and never an average over two protocols.

The database counts alike ones together; what is read grows with the rows of the tables, not with the operations.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db.models import Count, F, Max, Min, Q, QuerySet

from opsrisk.protocols.models import ProtocolVersion
from opsrisk.review.models import InForce

FEW = 10  # below this a median says little, and the table says so
MONTHS = 24  # a longer time is told by years
VERSION = ("protocol__protocol_id", "protocol__version")
TENS = ("0 to 9", *(f"{ten}0 to {ten}9" for ten in range(1, 9)), "90 to 100")
OTHERWISE = Count("pk", filter=~Q(chosen_decision=F("decision")))


@dataclass(frozen=True)
class Point:
    """One assessment in force, as the drawing needs it."""

    at: datetime
    score: int | None
    decision: str
    version: str  # protocol and version in words


def points(rows: QuerySet[InForce], most: int) -> list[Point]:
    """The newest `most`, the oldest first."""
    newest = rows.order_by("-assessed_at", "pk").values_list("assessed_at", "score", "decision", *VERSION)[:most]
    return [Point(at, score, decision, _version(*named)) for at, score, decision, *named in reversed(newest)]


@dataclass(frozen=True)
class Summary:
    """How many of how many."""

    assessed: int
    without_assessment: int
    without_score: int
    chosen_otherwise: int
    judged_otherwise: int
    server_otherwise: int
    unticked: int
    assumed: int
    lapsed: int
    briefed: int
    hurried: int
    ever_briefed: int  # on this revision or an earlier one
    changed: int
    by_decision: tuple[tuple[str, str, int], ...]  # decision, its words, how many

    @property
    def operations(self) -> int:
        return self.assessed + self.without_assessment

    @property
    def unbriefed(self) -> int:
        return self.assessed - self.briefed


def summary(
    rows: QuerySet[InForce], without_assessment: int, words: Mapping[str, str], marks: Mapping[str, Q]
) -> Summary:
    """The counts over `rows`; `words` names the decisions in the order in which they are listed, `marks` what is
    counted by a condition of its own."""
    counted = rows.aggregate(
        assessed=Count("pk"), briefed=Count("briefing_s"), ever_briefed=Count("led_to_a_change"),
        **{f"n_{name}": Count("pk", filter=condition) for name, condition in marks.items()},
    )  # fmt: skip
    decided = dict(rows.order_by().values_list("decision").annotate(number=Count("pk")))
    return Summary(
        assessed=counted["assessed"],
        without_assessment=without_assessment,
        without_score=counted["n_no_score"],
        chosen_otherwise=counted["n_overrides"],
        judged_otherwise=counted["n_disagreed"],
        server_otherwise=counted["n_differs"],
        unticked=counted["n_unticked"],
        assumed=counted["n_assumed"],
        lapsed=counted["n_lapsed"],
        briefed=counted["briefed"],
        hurried=counted["n_hurried"],
        ever_briefed=counted["ever_briefed"],
        changed=counted["n_changed"],
        by_decision=tuple((name, word, decided.get(name, 0)) for name, word in words.items()),
    )


@dataclass
class Group:
    """A time under one version, or a version: scores that may be put together."""

    name: str
    version: str
    number: int = 0
    chosen_otherwise: int = 0
    scores: Counter[int] = field(default_factory=Counter)

    @property
    def scored(self) -> int:
        return self.scores.total()

    @property
    def unscored(self) -> int:
        return self.number - self.scored

    @property
    def few(self) -> bool:
        return self.scored < FEW

    @property
    def middle(self) -> str:
        return f"{median(self.scores):g}" if self.scores else "none"

    @property
    def lowest(self) -> str:
        return str(min(self.scores)) if self.scores else "none"

    @property
    def highest(self) -> str:
        return str(max(self.scores)) if self.scores else "none"

    @property
    def tens(self) -> tuple[int, ...]:
        """How many scores lie in 0 to 9, 10 to 19 and so on; 100 is with the nineties."""
        found = Counter(dict.fromkeys(range(10), 0))
        for score, number in self.scores.items():
            found[min(score // 10, 9)] += number
        return tuple(found[ten] for ten in range(10))


def median(scores: Mapping[int, int]) -> float:
    """The middle of counted scores; the mean of the middle two if their number is even. Undefined for none."""
    every = sorted(scores.items())
    number = sum(scores.values())
    return (_at(every, (number - 1) // 2) + _at(every, number // 2)) / 2


def _at(counted: Iterable[tuple[int, int]], place: int) -> int:
    for score, number in counted:
        if place < number:
            return score
        place -= number
    raise IndexError(place)


def by_version(rows: QuerySet[InForce]) -> tuple[Group, ...]:
    """One group for each protocol version, the earliest first."""
    return tuple(_groups(rows, (), lambda version: version))


def by_period(rows: QuerySet[InForce]) -> tuple[Group, ...]:
    """One group for each month and version, or each year where there are many months; a period in which the protocol
    changed has a group for each version."""
    by = periods(rows)
    return tuple(_groups(rows, by.columns, lambda _, *at: by.words(*at)))


@dataclass(frozen=True)
class Periods:
    """The months, or where these are many the years, in which something was assessed; from the first to the last."""

    first: int = 0  # months since the year 0
    last: int = -1

    @property
    def years(self) -> bool:
        return self.last - self.first >= MONTHS

    @property
    def columns(self) -> tuple[str, ...]:
        return ("year",) if self.years else ("year", "month")

    def words(self, year: int, month: int = 0) -> str:
        return str(year) if self.years else f"{year}-{month:02d}"

    def every(self) -> Iterator[str]:
        """The words of each, also of those in which nothing was."""
        if self.years:
            yield from (self.words(year) for year in range(self.first // 12, self.last // 12 + 1))
        else:
            yield from (self.words(at // 12, at % 12 + 1) for at in range(self.first, self.last + 1))


def periods(rows: QuerySet[InForce]) -> Periods:
    """What `rows` are told by."""
    at = F("year") * 12 + F("month") - 1
    span = rows.aggregate(first=Min(at), last=Max(at))
    return Periods(**span) if span["first"] is not None else Periods()


def _groups(rows: QuerySet[InForce], by: tuple[str, ...], named: Any) -> Iterator[Group]:
    counted = (
        rows.order_by()
        .values_list(*by, "protocol", "score")
        .annotate(n=Count("pk"), other=OTHERWISE, first=Min("assessed_at"))
    )
    every = sorted(counted, key=lambda row: (*row[: len(by)], row[-1]))
    versions = ProtocolVersion.objects.defer("document").in_bulk({row[len(by)] for row in every})
    found: dict[tuple[Any, ...], Group] = {}
    for *key, score, number, other, _ in every:
        version = versions[key[-1]]
        words = _version(version.protocol_id, version.version)
        group = found.setdefault(tuple(key), Group(named(words, *key[:-1]), words))
        group.number += number
        group.chosen_otherwise += other
        if score is not None:
            group.scores[score] += number
    yield from found.values()


def _version(protocol: str, version: str) -> str:
    return f"{protocol} {version}"
