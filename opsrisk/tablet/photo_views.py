"""Photos from the tablet: a manifest in, its parts in, and what is here out. Only to whom it is meant for."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from uuid import UUID

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from opsrisk.agencies.models import Person
from opsrisk.agencies.refusals import Refused
from opsrisk.operations.photo_actions import (
    NoSuchPhoto,
    NotAnnounced,
    PhotoState,
    SendAgain,
    announce_photo,
    receive_part,
)
from opsrisk.operations.receipts import KeyReused
from opsrisk.tablet.log_views import errors, somebody_else

# 404 and 409: the tablet sends again by itself; 400 and 422 are refusals that it shows.
STATUS: tuple[tuple[type[Refused], int], ...] = (
    (KeyReused, 422),
    (SendAgain, 409),
    (NoSuchPhoto, 404),
    (NotAnnounced, 409),
    (Refused, 400),
)


def photo_sender(act: Callable[..., PhotoState]) -> Callable[..., HttpResponse]:
    """A view that answers with what the server has of a photo; who is not signed in, or not who sends, gets 401."""

    @login_not_required
    @require_http_methods(["POST"])
    @wraps(act)
    def answer(request: HttpRequest, **named: Any) -> HttpResponse:
        person = request.user
        if not isinstance(person, Person) or not person.is_active or somebody_else(request, person):
            return JsonResponse({"errors": "Sign in first."}, status=401)
        try:
            return JsonResponse(act(request, person, **named).document())
        except Refused as refused:
            status = next(status for kind, status in STATUS if isinstance(refused, kind))
            return JsonResponse(errors(refused), status=status)

    return answer


@photo_sender
def photos(request: HttpRequest, person: Person) -> PhotoState:
    return announce_photo(body=request.body, by=person, at=timezone.now())


@photo_sender
def photo_part(request: HttpRequest, person: Person, pk: UUID, number: int) -> PhotoState:
    return receive_part(photo=pk, number=number, data=request.body, by=person, at=timezone.now())
