"""One shape for everything that goes wrong: {"errors": [{"field": ..., "given": ..., "accepted": ...}]}."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.defaults import page_not_found, server_error
from rest_framework.exceptions import APIException, ValidationError
from rest_framework.response import Response
from rest_framework.views import exception_handler

from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.assess import CannotAssess
from opsrisk.assessment.situation import SituationRefused
from opsrisk.operations.receipts import KeyReused, StillRunning

Error = dict[str, str]
STATUS: tuple[tuple[type[Exception], int], ...] = (
    (StillRunning, 409),
    (KeyReused, 422),
    (Refused, 400),
    (SituationRefused, 400),
    (NotAllowed, 403),
    (CannotAssess, 503),
)


def answer(fault: Exception, context: dict[str, Any]) -> Response | None:
    """What the framework calls for an exception in a view; None makes it a 500."""
    for kind, status in STATUS:
        if isinstance(fault, kind):
            headers = {"Retry-After": "1"} if status in {409, 503} else {}
            return Response(
                body(getattr(fault, "errors", None) or [("", "", str(fault))]), status=status, headers=headers
            )
    if isinstance(fault, RequestDataTooBig):
        return Response(body([("body", "more than the server reads", "at most 2 MiB")]), status=413)
    response = exception_handler(fault, context)
    if response is not None:
        response.data = body(_flat(fault, response))
    return response


def body(errors: Iterable[tuple[str, str, str]]) -> dict[str, list[Error]]:
    return {"errors": [{"field": field, "given": given, "accepted": accepted} for field, given, accepted in errors]}


def _flat(fault: Exception, response: Response) -> Iterator[tuple[str, str, str]]:
    if isinstance(fault, ValidationError) and isinstance(fault.detail, dict):
        for field, words in fault.detail.items():
            yield field, "", " ".join(map(str, words if isinstance(words, list) else [words]))
    elif isinstance(fault, APIException):
        yield "", "", str(fault.detail)
    else:
        yield "", "", str(response.data.get("detail", ""))


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """For the whole site: programs get the one shape, people the page."""
    if request.path.startswith("/api/"):
        return JsonResponse(body([("", request.path[:200], "an address of the API, see /api/schema/")]), status=404)
    return page_not_found(request, exception)


def failed(request: HttpRequest) -> HttpResponse:
    if request.path.startswith("/api/"):
        return JsonResponse(body([("", "", "the server failed; the fault is in its log")]), status=500)
    return server_error(request)
