"""The chief's list: the assessment in force of every operation of the own agency, as asked for."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from django.db.models import Case, Exists, F, IntegerField, OuterRef, Q, QuerySet, Value, When

from opsrisk.agencies.models import Agency
from opsrisk.operations.models import Assessment, Decision, Operation
from opsrisk.review.in_force import catch_up
from opsrisk.review.models import Finding, InForce

DEFAULT_SORT = "-assessed_at"
HURRIED_S = 60  # a briefing under a minute is told of, and judged by whoever reads it
EQUAL = {
    "kind": "kind", "decision": "decision", "site": "site", "version": "protocol", "person": "made_by",
    "month": "month",
}  # fmt: skip
MARKED = {
    "overrides": ~Q(chosen_decision=F("decision")),
    "disagreed": ~Q(own_decision=F("decision")),
    "differs": Q(differs=True),
    "unticked": Q(unticked__gt=0),
    "assumed": Q(assumed__gt=0),
    "lapsed": Q(lapses__gt=0),
    "hurried": Q(briefing_s__lt=HURRIED_S),
    "unbriefed": Q(briefing_s__isnull=True),
    "changed": Q(led_to_a_change=True),
    "no_score": Q(score__isnull=True),
}


def caution_of(field: str) -> Case:
    """The place of a decision in the order of caution, so that the database can compare two."""
    places = (When(**{field: name}, then=Value(place)) for place, name in enumerate(Decision.values))
    return Case(*places, output_field=IntegerField())


class Reader(Protocol):
    """A person, or whatever stands for an agency."""

    @property
    def agency(self) -> Agency | None: ...

    @property
    def agency_id(self) -> Any: ...


@dataclass(frozen=True)
class Span:
    """From the beginning of one day to the end of another, in the agency's time zone."""

    start: datetime | None
    end: datetime | None

    @classmethod
    def of(cls, since: date | None, until: date | None, zone: ZoneInfo) -> "Span":
        start = datetime.combine(since, time(), zone) if since else None
        end = datetime.combine(until + timedelta(days=1), time(), zone) if until else None
        return cls(start, end)

    def within(self, field: str) -> Q:
        """The condition that `field` lies in this span."""
        found = Q()
        if self.start:
            found &= Q(**{f"{field}__gte": self.start})
        if self.end:
            found &= Q(**{f"{field}__lt": self.end})
        return found


def assessments(person: Reader, asked: Mapping[str, Any]) -> QuerySet[InForce]:
    """Assessments in force that match `asked`, brought up to the log as it is now."""
    if person.agency is None:
        return InForce.objects.none()
    catch_up(person.agency)
    rows = InForce.objects.for_person(person).filter(_span(person, asked).within("assessed_at"))
    for name, field in EQUAL.items():
        if asked.get(name):
            rows = rows.filter(**{field: asked[name]})
    for name, condition in MARKED.items():
        if asked.get(name):
            rows = rows.filter(condition)
    if asked.get("q"):
        rows = rows.filter(Q(title__icontains=asked["q"]) | Q(place__icontains=asked["q"]))
    if asked.get("says"):
        what, _, name = asked["says"].partition(":")
        rows = rows.filter(Exists(Finding.objects.filter(of=OuterRef("pk"), phrase__what=what, phrase__name=name)))
    return rows


def shown(rows: QuerySet[InForce]) -> list[InForce]:
    """`rows`, which are few, in their order, with everything that a row of the list shows.

    Fetched by their numbers: a database that sorts carries all it was asked for through the sorting.
    """
    wanted = list(rows.values_list("pk", flat=True))
    whole = InForce.objects.select_related("operation__site", "protocol", "made_by", "assessment__override_second")
    long = (*(f"assessment__{name}" for name in ("record", "server_document", "receipt")), "protocol__document")
    found = whole.defer(*long).in_bulk(wanted)
    return [found[pk] for pk in wanted]


def in_order(rows: QuerySet[InForce], sort: str) -> QuerySet[InForce]:
    """`rows` sorted; those without a score come last, and equals stand by time, so that pages never overlap."""
    way = sort or DEFAULT_SORT
    name = way.removeprefix("-")
    if name == "caution":
        rows = rows.annotate(caution=caution_of("decision"))
    by = F(name)
    return rows.order_by(
        by.desc(nulls_last=True) if way.startswith("-") else by.asc(nulls_last=True), "-assessed_at", "pk"
    )


def without_assessment(person: Reader, asked: Mapping[str, Any]) -> int:
    """Operations called in the same span, of the same kind and place, for which no assessment was received."""
    rows = Operation.objects.for_person(person).filter(~Exists(Assessment.objects.filter(operation=OuterRef("pk"))))
    rows = rows.filter(_span(person, asked).within("called_at"))
    for name in ("kind", "site"):
        if asked.get(name):
            rows = rows.filter(**{name: asked[name]})
    return rows.count()


def zone_of(person: Reader) -> ZoneInfo:
    return ZoneInfo(person.agency.time_zone if person.agency else "UTC")


def zone_words(zone: ZoneInfo) -> str:
    """The zone as people say it; the signs of the Etc/ zones are the wrong way round for reading."""
    if not zone.key.startswith("Etc/GMT") or zone.key == "Etc/GMT":
        return zone.key
    hours = -int(zone.key.removeprefix("Etc/GMT"))
    return f"UTC{hours:+d} h"


def _span(person: Reader, asked: Mapping[str, Any]) -> Span:
    return Span.of(asked.get("since"), asked.get("until"), zone_of(person))
