"""What the server has of a person lately: for a tablet whose storage the browser has cleared."""

from datetime import datetime, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone

from opsrisk.agencies.models import Person
from opsrisk.operations.models import Assessment, LogEntry, Photo
from opsrisk.tablet.views import with_agency

LATELY = timedelta(days=14)
MOST = 50


@with_agency
def received(request: HttpRequest, person: Person) -> HttpResponse:
    return JsonResponse(received_document(person, timezone.now()))


def received_document(person: Person, at: datetime) -> dict[str, Any]:
    """Records, log lines and photos that this person sent in the last fortnight, newest first."""
    since = at - LATELY
    records = Assessment.objects.for_person(person).filter(received_by=person, received_at__gte=since)
    lines = LogEntry.objects.for_person(person).filter(received_by=person, received_at__gte=since)
    photos = Photo.objects.for_person(person).filter(sent_by=person, announced_at__gte=since)
    return {
        "days": LATELY.days,
        "records": [_record(one) for one in records.select_related("operation").order_by("-received_at", "pk")[:MOST]],
        "lines": lines.count(),
        "photos": [_photo(one) for one in photos.order_by("-announced_at", "pk")[:MOST]],
    }


def _record(row: Assessment) -> dict[str, Any]:
    about = {"title": row.operation.title, "revision": row.revision, "decision": row.chosen_decision}
    return {"id": str(row.pk), "received_at": row.received_at.isoformat(timespec="milliseconds"), **about}


def _photo(row: Photo) -> dict[str, Any]:
    received = row.received_at and row.received_at.isoformat(timespec="milliseconds")
    return {"id": str(row.pk), "caption": row.caption, "received_at": received}
