"""The conditions log between tablets: a line in, everything new out. Asked every second, so it stays short."""

from typing import Any
from uuid import UUID

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from opsrisk.agencies.models import Person
from opsrisk.agencies.refusals import Refused
from opsrisk.operations.feed import feed, under_way
from opsrisk.operations.log_actions import receive_line
from opsrisk.operations.models import Operation
from opsrisk.operations.receipts import KeyReused
from opsrisk.tablet.views import with_agency

ABSENT = {"errors": "No such operation in your agency."}


@with_agency
def operations(request: HttpRequest, person: Person) -> HttpResponse:
    return JsonResponse({"operations": under_way(person)})


@with_agency
def operation(request: HttpRequest, person: Person, pk: UUID) -> HttpResponse:
    """What arrived after ledger entry `after`; -1 for everything."""
    given = request.GET.get("after", "-1")
    if not given.removeprefix("-").isdecimal() or len(given) > 15:
        return JsonResponse({"errors": f"after: given {given[:40]}, accepted a ledger index or -1"}, status=400)
    found = Operation.objects.for_person(person).filter(pk=pk).first()
    if found is None:
        return JsonResponse(ABSENT, status=404)
    return JsonResponse(feed(found, int(given)))


@login_not_required
@require_http_methods(["POST"])
def log(request: HttpRequest) -> HttpResponse:
    """Takes one line once; who is not signed in, or not who meant to send, is told to sign in."""
    person = request.user
    if not isinstance(person, Person) or not person.is_active or somebody_else(request, person):
        return JsonResponse({"errors": "Sign in first."}, status=401)
    try:
        status, receipt = receive_line(body=request.body, by=person, at=timezone.now())
    except Refused as refused:
        return JsonResponse(errors(refused), status=422 if isinstance(refused, KeyReused) else 400)
    return JsonResponse(receipt, status=status)


def somebody_else(request: HttpRequest, person: Person) -> bool:
    return request.headers.get("Sent-By", str(person.pk)) != str(person.pk)


def errors(refused: Refused) -> dict[str, Any]:
    named = [{"field": field, "given": str(given), "accepted": ok} for field, given, ok in refused.errors]
    return {"errors": named}
