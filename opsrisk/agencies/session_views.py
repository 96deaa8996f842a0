"""Who is signed in where, and how: ending sessions, and whether the agency asks for a second factor."""

from typing import Any
from uuid import UUID

from allauth.mfa.recovery_codes import views as codes
from allauth.usersessions.models import UserSession
from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from opsrisk.agencies import actions, audit_actions
from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.signed_in import Request
from opsrisk.agencies.views import ask, found_at

SHOWN = 200


class SecondFactor(forms.Form):
    second_factor = forms.TypedChoiceField(
        label="Supervisors, chiefs and safety officers",
        choices=[("on", "need a second factor to sign in"), ("off", "sign in with a password alone")],
        help_text="With it, whoever has none is led to set one up before any other page.",
        widget=forms.RadioSelect,
        coerce=lambda given: given == "on",
    )


@require_http_methods(["GET", "HEAD", "POST"])
def second_factor(request: Request) -> HttpResponse:
    require_fresh(request, "set_second_factor")
    agency = request.user.agency
    if agency is None:
        raise NotAllowed("second factor: whoever installs sets it while founding the agency")
    start = {"second_factor": "on" if agency.second_factor else "off"}

    def act(given: dict[str, Any]) -> None:
        actions.set_second_factor(agency=agency, on=given["second_factor"], by=request.user, at=timezone.now())

    form = SecondFactor(request.POST if request.method == "POST" else None, initial=start)
    words = {"title": "Second factor of the agency", "button": "Set", "done": "Set.", "to": "people"}
    return ask(request, form, act, **words)


@require_http_methods(["GET", "HEAD", "POST"])
def end_sessions(request: Request, pk: UUID) -> HttpResponse:
    """Signs a colleague out everywhere: a tablet was lost, or somebody else may be at their keyboard."""
    found = get_object_or_404(Person.objects.for_person(request.user), pk=pk)
    require(request.user, "enrol")
    return ask(
        request,
        forms.Form(request.POST if request.method == "POST" else None),
        lambda _: actions.end_sessions(person=found, by=request.user, at=timezone.now()),
        title=f"Sign {found.name} out everywhere",
        button=f"End every session of {found.name} now",
        done="Ended.",
        to=found_at("person", found),
    )


@require_safe
def recovery_codes(request: Request, as_file: bool = False) -> HttpResponseBase:
    """The library's page of one's codes, or its file; that they were seen is in the log."""
    view = codes.download_recovery_codes if as_file else codes.view_recovery_codes
    answer: HttpResponseBase = view(request)
    if answer.status_code == SHOWN:
        audit_actions.note_way_in(by=request.user, verb="see_recovery_codes", kind="recovery_codes", at=timezone.now())
    return answer


@require_POST
def end_own_session(request: Request, pk: int) -> HttpResponse:
    found = get_object_or_404(UserSession, pk=pk, user=request.user)
    actions.end_own_session(session=found, by=request.user, at=timezone.now())
    messages.success(request, "Ended.")
    return redirect("me")
