"""The chief's list: the assessment in force of every operation of the own agency, as asked for."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from django.db.models import Case, F, IntegerField, Q, QuerySet, Value, When

from opsrisk.agencies.models import Agency
from opsrisk.operations.models import Assessment, Decision, Operation

DEFAULT_SORT = "-assessed_at"
CAUTION = Case(
    *(When(decision=name, then=Value(place)) for place, name in enumerate(Decision.values)),
    output_field=IntegerField(),
)


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


def assessments(person: Reader, asked: Mapping[str, Any]) -> QuerySet[Assessment]:
    """Assessments in force that match `asked`, with everything a row of the list shows."""
    rows = Assessment.objects.for_person(person).current().annotate(caution=CAUTION, title=F("operation__title"))
    rows = rows.filter(_span(person, asked).within("assessed_at"))
    for name, field in (
        ("kind", "operation__kind"),
        ("decision", "decision"),
        ("site", "operation__site"),
        ("version", "protocol"),
    ):
        if asked.get(name):
            rows = rows.filter(**{field: asked[name]})
    if asked.get("q"):
        rows = rows.filter(Q(operation__title__icontains=asked["q"]) | Q(operation__place__icontains=asked["q"]))
    if asked.get("overrides"):
        rows = rows.exclude(chosen_decision=F("decision"))
    if asked.get("disagreed"):
        rows = rows.exclude(own_decision=F("decision"))
    if asked.get("differs"):
        rows = rows.filter(differs=True)
    rows = rows.select_related("operation__site", "protocol", "made_by", "override_second")
    return rows.defer("server_document", "receipt", "protocol__document")


def in_order(rows: QuerySet[Assessment], sort: str) -> QuerySet[Assessment]:
    """`rows` sorted; those without a score come last, and equals stand by time, so that pages never overlap."""
    way = sort or DEFAULT_SORT
    name = way.removeprefix("-")
    by = F(name).desc(nulls_last=True) if way.startswith("-") else F(name).asc(nulls_last=True)
    return rows.order_by(by, "-assessed_at", "pk")


def without_assessment(person: Reader, asked: Mapping[str, Any]) -> int:
    """Operations called in the same span, of the same kind and place, for which no assessment was received."""
    rows = Operation.objects.for_person(person).filter(assessments__isnull=True)
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
