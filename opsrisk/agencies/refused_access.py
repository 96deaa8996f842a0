"""Puts into the log every access that a signed-in person was refused.

A thing of another agency and a thing that never was get the same answer, 404; both are logged where the address names
a thing by its id. Strangers who are sent to sign in are not: anybody could fill the log. So could a person with many
requests: from a number in an hour on, the server's own log has to do.
"""

import logging
from collections.abc import Callable

from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from opsrisk.agencies.audit_actions import note_refusal
from opsrisk.agencies.models import Person

log = logging.getLogger("opsrisk.refused")
MOST_AN_HOUR = 200  # of one person's


class RefusedAccess:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self._get_response(request)
        person = getattr(request, "user", None)
        if isinstance(person, Person) and _is_refusal(request, response.status_code):
            self._note(person, request, response.status_code)
        return response

    def _note(self, person: Person, request: HttpRequest, status: int) -> None:
        now = timezone.now()
        if _counted(f"refused-{person.pk}-{int(now.timestamp()) // 3600}") > MOST_AN_HOUR:
            log.warning("refused %s %s to %s (%s)", request.method, request.path, person.pk, status)
            return
        note_refusal(person=person, method=request.method or "", path=request.path, status=status, at=now)


def _is_refusal(request: HttpRequest, status: int) -> bool:
    named = request.resolver_match is not None and "pk" in request.resolver_match.kwargs
    return status == 403 or (status == 404 and named)


def _counted(key: str) -> int:
    cache.add(key, 0, timeout=2 * 3600)
    try:
        return cache.incr(key)
    except ValueError:  # thrown out of a full cache between the two lines
        return 1
