"""A person's own log, everybody's for chief and safety officer, and both as CSV. Listed by name: nothing is ranked."""

from collections.abc import Iterable
from decimal import Decimal
from uuid import UUID

from django.db.models import Count, Q, Sum
from django.http import HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import may, require
from opsrisk.agencies.signed_in import Request
from opsrisk.records import dive_table
from opsrisk.records.models import DiveRecord, OfDive, Trained, TrainingDay
from opsrisk.review.listing import zone_of, zone_words

SUMS = {
    "dives": Count("pk"),
    "minutes": Sum("bottom_minutes"),
    "not_known": Count("pk", filter=Q(bottom_minutes__isnull=True)),
}


@require_safe
def records(request: Request) -> HttpResponse:
    """Where each kind of record is; for chief and safety officer every person's sums, by name."""
    people = []
    if may(request.user, "read_dives"):
        standing = DiveRecord.objects.for_person(request.user).standing().order_by()
        sums = {row["diver"]: row for row in standing.values("diver").annotate(**SUMS)}
        everybody = Person.objects.for_person(request.user).order_by("-is_active", "name")
        hours = hours_of(request.user)
        people = [(one, sums.get(one.pk), hours.get(one.pk, 0)) for one in everybody]
    return render(request, "records/records.html", {"people": people})


@require_safe
def person_log(request: Request, pk: UUID) -> HttpResponse:
    """The dives of one person, the newest first, with the sum of bottom time."""
    found = get_object_or_404(Person.objects.for_person(request.user), pk=pk)
    if found.pk != request.user.pk:
        require(request.user, "read_dives")
    rows = _standing(request.user).filter(diver=found)
    zone = zone_of(request.user)
    trained = TrainingDay.objects.for_person(request.user).standing().filter(trained__person=found)
    context = {
        "person": found,
        "rows": rows,
        "sums": rows.order_by().aggregate(**SUMS),
        "zone_words": zone_words(zone),
        "trained": trained.order_by("-held_on", "-day"),
        "hours": hours_of(request.user).get(found.pk, 0),
    }
    with timezone.override(zone):
        return render(request, "records/person_log.html", context)


@require_safe
def person_csv(request: Request, pk: UUID) -> HttpResponseBase:
    found = get_object_or_404(Person.objects.for_person(request.user), pk=pk)
    require_fresh(request, "read" if found.pk == request.user.pk else "read_dives")
    return _csv("dives.csv", dive_table.lines(_standing(request.user).filter(diver=found).iterator(chunk_size=200)))


@require_safe
def dives_csv(request: Request) -> HttpResponseBase:
    require_fresh(request, "read_dives")
    return _csv("dives.csv", dive_table.lines(_standing(request.user).iterator(chunk_size=200)))


@require_safe
def definitions_csv(request: Request) -> HttpResponseBase:
    """What the columns mean, and their units."""
    require(request.user, "read")
    return _csv("dives-definitions.csv", dive_table.definitions())


def hours_of(reader: Person) -> dict[UUID, Decimal]:
    """Hours of training of each person, each day by the entry that stands."""
    rows = Trained.objects.for_person(reader).filter(training__in=TrainingDay.objects.for_person(reader).standing())
    return dict(rows.order_by().values_list("person").annotate(hours=Sum("training__hours")))


def _standing(person: Person) -> OfDive:
    rows = DiveRecord.objects.for_person(person).standing()
    return rows.select_related("operation", "by").order_by("-in_at", "pk")


def _csv(name: str, lines: Iterable[str]) -> StreamingHttpResponse:
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return StreamingHttpResponse(lines, content_type="text/csv; charset=utf-8", headers=disposition)
