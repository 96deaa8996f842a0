"""Figures over the listed assessments: counts with what they are counts of, and never an average over two protocols."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from statistics import median
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from opsrisk.operations.models import Assessment

FEW = 10  # below this a median says little, and the table says so


@dataclass(frozen=True)
class Point:
    """One assessment in force, as the figures need it."""

    at: datetime
    score: int | None
    decision: str
    chosen: str
    own: str
    differs: bool
    version: str  # protocol and version in words


def points(rows: QuerySet[Assessment]) -> list[Point]:
    """The columns that the figures need, without the records."""
    columns = (
        "assessed_at", "score", "decision", "chosen_decision", "own_decision", "differs",
        "protocol__protocol_id", "protocol__version",
    )  # fmt: skip
    return [
        Point(at, score, decision, chosen, own, differs, f"{protocol} {version}")
        for at, score, decision, chosen, own, differs, protocol, version in rows.order_by("assessed_at").values_list(
            *columns
        )
    ]


@dataclass(frozen=True)
class Summary:
    """How many of how many."""

    assessed: int
    without_assessment: int
    without_score: int
    chosen_otherwise: int
    judged_otherwise: int
    server_otherwise: int
    by_decision: tuple[tuple[str, int], ...]

    @property
    def operations(self) -> int:
        return self.assessed + self.without_assessment


@dataclass(frozen=True)
class Group:
    """A month under one version, or a version: scores that may be put together."""

    name: str
    version: str
    number: int
    scored: int
    middle: str
    lowest: str
    highest: str
    chosen_otherwise: int
    few: bool


def summary(points: Iterable[Point], without_assessment: int, words: Mapping[str, str]) -> Summary:
    """The counts over `points`; `words` names the decisions in the order in which they are listed."""
    points = list(points)
    counted = Counter(point.decision for point in points)
    return Summary(
        assessed=len(points),
        without_assessment=without_assessment,
        without_score=sum(point.score is None for point in points),
        chosen_otherwise=sum(point.chosen != point.decision for point in points),
        judged_otherwise=sum(point.own != point.decision for point in points),
        server_otherwise=sum(point.differs for point in points),
        by_decision=tuple((word, counted[name]) for name, word in words.items()),
    )


def by_version(points: Iterable[Point]) -> tuple[Group, ...]:
    """One group for each protocol version, the earliest first."""
    groups: dict[str, list[Point]] = {}
    for point in sorted(points, key=lambda p: p.at):
        groups.setdefault(point.version, []).append(point)
    return tuple(_group(version, version, group) for version, group in groups.items())


def by_month(points: Iterable[Point], zone: ZoneInfo) -> tuple[Group, ...]:
    """One group for each month and version; a month in which the protocol changed has two."""
    groups: dict[tuple[str, str], list[Point]] = {}
    for point in sorted(points, key=lambda p: p.at):
        groups.setdefault((f"{point.at.astimezone(zone):%Y-%m}", point.version), []).append(point)
    return tuple(_group(month, version, group) for (month, version), group in groups.items())


def _group(name: str, version: str, points: list[Point]) -> Group:
    scores = [point.score for point in points if point.score is not None]
    return Group(
        name=name,
        version=version,
        number=len(points),
        scored=len(scores),
        middle=f"{median(scores):g}" if scores else "none",
        lowest=str(min(scores)) if scores else "none",
        highest=str(max(scores)) if scores else "none",
        chosen_otherwise=sum(point.chosen != point.decision for point in points),
        few=len(scores) < FEW,
    )
