"""Sessions: a second factor where the agency asks for one, an end after a shift, a factor again after an idle hour.

The tablet's own requests are neither sent to a form nor counted as somebody at the desk: its lock is its own.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import timedelta
from typing import Any

from allauth.account.internal.flows.login import get_authentication_records
from allauth.account.internal.flows.reauthentication import get_reauthentication_flows
from allauth.core.exceptions import ReauthenticationRequired
from django.conf import settings
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode

from opsrisk.agencies.models import Person
from opsrisk.agencies.passwords import has_second_factor
from opsrisk.agencies.permissions import CHIEF, INSTALLER, SAFETY, SUPERVISOR, role_of

OVERALL = timedelta(hours=12)  # SP 800-63B-4 allows 24 h at its second level: a shift is shorter
IDLE = timedelta(hours=1)
NOTED_EVERY_S = 60  # the session is written once a minute at most
BEGAN, SEEN, HAS_FACTOR = "began_at", "seen_at", "has_second_factor"
NEED_ONE = frozenset({SUPERVISOR, CHIEF, SAFETY})
# What anybody may reach before the second factor is set up, and while an idle desk is locked.
OPEN = {"account_logout", "account_reauthenticate", "account_change_password", "healthz", "public_sheet"}
SET_UP = "mfa_index"
FORGERY = "csrfmiddlewaretoken"  # the field of the check against forged requests
ASK_NO_MORE = 286  # to htmx: show this, and end what asks every few seconds
CONFIRM_FIRST = 401  # as when nobody is signed in: what was sent did nothing
SAYS_NOTHING = ("/tablet/session.json", "/tablet/bundle.json")  # who is signed in, or nobody; the questions


def needs_second_factor(person: Person) -> bool:
    """Whether this person must have one: by role and the agency's setting; whoever installs, by the server's."""
    role = role_of(person)
    if role == INSTALLER:
        return bool(settings.INSTALLER_SECOND_FACTOR)
    return role in NEED_ONE and person.agency is not None and person.agency.second_factor


class Sessions:
    """Middleware, last of all: its look at a request comes after the check against forged ones, and its look at
    allauth's wish for a fresh factor comes before allauth's own, which would keep what was sent in the session."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_: Any) -> HttpResponse | None:
        person = request.user
        return _stopped(request, person) if isinstance(person, Person) and person.is_authenticated else None

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        """What asks for a fresh factor."""
        person = request.user
        if isinstance(fault, ReauthenticationRequired) and isinstance(person, Person):
            return _confirm_first(request, person)
        return None


def _stopped(request: HttpRequest, person: Person) -> HttpResponse | None:
    now = time.time()
    if now - request.session.setdefault(BEGAN, now) > OVERALL.total_seconds():
        logout(request)
        return _sign_in_again(request)
    name = (request.resolver_match.url_name if request.resolver_match else None) or ""
    if name in OPEN or name.startswith("mfa_"):
        return None
    if needs_second_factor(person) and not _has_factor(request, person):
        return _set_up(request)
    return None if _is_tablet(request) else _idle(request, person, now)


def _idle(request: HttpRequest, person: Person, now: float) -> HttpResponse | None:
    """After an hour without a page of the desk the person gives a factor again."""
    proven = [float(one["at"]) for one in get_authentication_records(request, person)]
    seen = max([float(request.session.get(SEEN, request.session[BEGAN])), *proven])
    if now - seen > IDLE.total_seconds():
        return _confirm_first(request, person)
    if now - float(request.session.get(SEEN, 0)) > NOTED_EVERY_S:
        request.session[SEEN] = now
    return None


def _confirm_first(request: HttpRequest, person: Person) -> HttpResponse | None:
    """To the page that asks for a factor. What was being sent stays in the page, and nowhere on the server."""
    flows = get_reauthentication_flows(person)
    if not flows:
        logout(request)
        return _sign_in_again(request)
    ask = reverse(_FLOW[flows[0]["id"]])
    if _is_part(request):
        return _in_the_part(request, f"{ask}?{urlencode({'next': reverse('me')})}")
    if request.method in {"GET", "HEAD"}:
        return redirect(f"{ask}?{urlencode({'next': request.get_full_path()})}")
    typed = [(name, one) for name, all_ in request.POST.lists() for one in all_ if not _is_secret(name)]
    left_out = bool(request.FILES) or any(_is_secret(name) and name != FORGERY for name in request.POST)
    context = {"ask": f"{ask}?{urlencode({'next': reverse('me')})}", "typed": typed, "left_out": left_out}
    return render(request, "account/confirm_first.html", context, status=CONFIRM_FIRST)


def _is_part(request: HttpRequest) -> bool:
    """Whether a page that stays where it is fetches a part of itself: a whole page would be put into its middle."""
    return request.headers.get("HX-Request") == "true"


def _in_the_part(request: HttpRequest, ask: str) -> HttpResponse:
    """Words in the place of the part; what was typed on the page around it stays there."""
    return render(request, "account/confirm_part.html", {"ask": ask}, status=ASK_NO_MORE)


def _is_secret(name: str) -> bool:
    return name == FORGERY or "password" in name


_FLOW = {
    "reauthenticate": "account_reauthenticate",
    "mfa_reauthenticate": "mfa_reauthenticate",
    "mfa_reauthenticate_webauthn": "mfa_reauthenticate_webauthn",
}


def _has_factor(request: HttpRequest, person: Person) -> bool:
    """Asked of the database until it is so; removing the last one takes the mark away (see `forget`)."""
    if not request.session.get(HAS_FACTOR) and has_second_factor(person):
        request.session[HAS_FACTOR] = True
    return bool(request.session.get(HAS_FACTOR))


def begin(request: HttpRequest) -> None:
    """Somebody signed in: the shift and the first idle hour count from here, not from the first page after it."""
    request.session[BEGAN] = time.time()


def forget(request: HttpRequest, **_: Any) -> None:
    """A factor was removed: look again at the next request."""
    request.session.pop(HAS_FACTOR, None)


def _set_up(request: HttpRequest) -> HttpResponse | None:
    """The tablet and programs are told in words, a person at the desk is led to the page."""
    if _speaks_json(request):
        words = "Your agency asks for a second factor. Set it up at the desk, then send again: nothing is lost."
        return JsonResponse({"errors": words}, status=401)
    return None if _is_tablet_shell(request) else redirect(SET_UP)


def _sign_in_again(request: HttpRequest) -> HttpResponse | None:
    if _speaks_json(request):
        return JsonResponse({"errors": "Sign in first."}, status=401)
    if _is_tablet_shell(request):
        return None
    if _is_part(request):
        return _in_the_part(request, f"{reverse('account_login')}?{urlencode({'next': reverse('me')})}")
    return redirect(f"{reverse('account_login')}?{urlencode({'next': request.get_full_path()})}")


def _is_tablet(request: HttpRequest) -> bool:
    return request.path.startswith(("/tablet/", "/api/", "/static/"))


def _speaks_json(request: HttpRequest) -> bool:
    if request.path in SAYS_NOTHING:
        return False
    return request.path.startswith("/api/") or (request.path.startswith("/tablet/") and request.path.endswith(".json"))


def _is_tablet_shell(request: HttpRequest) -> bool:
    """Files that hold nothing of any agency and that the tablet fetches to work without a network."""
    return request.path.startswith(("/tablet/", "/static/")) and request.path != "/tablet/"
