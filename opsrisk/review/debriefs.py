"""What the debriefs of the listed operations say: counts of how many, what is missing, and minutes by visibility."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from django.db.models import Case, Count, IntegerField, Q, QuerySet, Sum, TextChoices, Value, When

from opsrisk.operations.models import Debrief
from opsrisk.reference.units import from_si, to_si
from opsrisk.review.models import InForce

# Edges of the bands in which minutes are counted, in feet: ours, for reading only; no decision rests on them.
EDGES_FT = ("1", "3", "10")
ASKED = (
    ("Who was hurt", "injuries", Debrief.Injuries),
    ("Near miss", "near_miss", Debrief.NearMiss),
    ("Target found by", "found_by", Debrief.FoundBy),
    ("Looking back", "looking_back", Debrief.LookingBack),
)

Group = dict[str, Any]


@dataclass(frozen=True)
class Table:
    title: str
    rows: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Exposure:
    """Minutes in water in which somebody saw so far; those not known are counted, not guessed."""

    band: str
    operations: int
    diver_minutes: int
    diver_unknown: int
    vehicle_minutes: int
    vehicle_unknown: int


@dataclass(frozen=True)
class Debriefs:
    operations: int  # with an assessment in force, as listed
    debriefed: int
    tables: tuple[Table, ...]
    exposure: tuple[Exposure, ...]
    spared: int  # the vehicle found the target and nobody dived
    spared_minutes: int  # vehicle-minutes there

    @property
    def missing(self) -> int:
        return self.operations - self.debriefed


def debriefs(rows: QuerySet[InForce], units: str) -> Debriefs:
    """The figures over the operations of `rows`, with distances in the units of the agency."""
    listed = rows.order_by().values("operation")
    groups = list(grouped(Debrief.objects.standing().filter(operation__in=listed), [field for _, field, _ in ASKED]))
    return Debriefs(
        operations=listed.distinct().count(),
        debriefed=sum(group["number"] for group in groups),
        tables=tuple(table_of(groups, title, field, choices) for title, field, choices in ASKED),
        exposure=tuple(exposures(groups, units)),
        spared=sum(group["spared"] for group in groups),
        spared_minutes=sum(group["spared_minutes"] or 0 for group in groups),
    )


def grouped(rows: QuerySet[Any], fields: Sequence[str]) -> Iterable[Group]:
    """Rows that say the same in `fields`, put together by the database; the tables are sums over them."""
    bands = [When(visibility_m__lt=float(to_si(edge, "ft")), then=Value(n)) for n, edge in enumerate(EDGES_FT)]
    unknown = When(visibility_m__isnull=True, then=Value(len(EDGES_FT) + 1))
    band = Case(unknown, *bands, default=Value(len(EDGES_FT)), output_field=IntegerField())
    spared = Q(found_by=Debrief.FoundBy.VEHICLE, diver_minutes=0)
    return rows.annotate(band=band).order_by().values("band", *fields).annotate(
        number=Count("pk"),
        divers=Sum("diver_minutes"), divers_unknown=Count("pk", filter=Q(diver_minutes__isnull=True)),
        vehicle=Sum("vehicle_minutes"), vehicle_unknown=Count("pk", filter=Q(vehicle_minutes__isnull=True)),
        spared=Count("pk", filter=spared), spared_minutes=Sum("vehicle_minutes", filter=spared),
    )  # fmt: skip


def table_of(groups: list[Group], title: str, field: str, choices: type[TextChoices]) -> Table:
    counted: Counter[str] = Counter()
    for group in groups:
        counted[group[field]] += group["number"]
    return Table(title, tuple((str(word), counted[name]) for name, word in choices.choices))


def exposures(groups: list[Group], units: str) -> Iterator[Exposure]:
    for place, words in enumerate(_words(units)):
        there = [group for group in groups if group["band"] == place]
        sums = ("number", "divers", "divers_unknown", "vehicle", "vehicle_unknown")
        yield Exposure(words, *(sum(group[name] or 0 for group in there) for name in sums))


def _words(units: str) -> Iterator[str]:
    unit = "ft" if units == "us" else "m"
    shown = [from_si(to_si(edge, "ft"), unit, 0 if unit == "ft" else 1) for edge in EDGES_FT]
    yield f"under {shown[0]} {unit}"
    for low, high in pairwise(shown):
        yield f"{low} to {high} {unit}"
    yield f"{shown[-1]} {unit} and more"
    yield "not known"
