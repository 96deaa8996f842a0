"""Desk pages of people, kit, places, and one's own page."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from allauth.usersessions.models import UserSession
from django import forms as django_forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from opsrisk.agencies import actions, forms
from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.models import Person, Site, Token, Vehicle
from opsrisk.agencies.nearby import stations
from opsrisk.agencies.papers import due, today
from opsrisk.agencies.permissions import INSTALLER, NotAllowed, may, require, role_of
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request

read_or_post = require_http_methods(["GET", "HEAD", "POST"])
HOME = {
    Person.Role.SUPERVISOR.value: "/tablet/",
    Person.Role.MEMBER.value: "/tablet/",
    Person.Role.CHIEF.value: "/review/",
    Person.Role.SAFETY_OFFICER.value: "/protocols/",
    INSTALLER: "/admin/",
}


def ask(
    request: Request, form: django_forms.BaseForm, act: Callable[[dict[str, Any]], object], **words: Any
) -> HttpResponse:
    """One form, one action. `words`: title, button, done (the message), to (where next), template."""
    if request.method == "POST" and form.is_valid():
        try:
            act(form.cleaned_data)
        except Refused as refused:
            forms.show(form, refused)
        else:
            messages.success(request, words["done"])
            return redirect(words["to"])
    template = words.pop("template", "agencies/form.html")
    return render(request, template, {"form": form, **words}, status=422 if form.errors else 200)


@require_safe
def home(request: Request) -> HttpResponse:
    return redirect(HOME[role_of(request.user)])


@require_safe
def people(request: Request) -> HttpResponse:
    rows = Person.objects.for_person(request.user).prefetch_related("qualifications").order_by("-is_active", "name")
    return render(request, "agencies/people.html", {"people": rows, "papers": due(request.user, timezone.now())})


@read_or_post
def language(request: Request) -> HttpResponse:
    """In which language the agency's tablets and sheets begin, and with which decimal sign."""
    require(request.user, "set_language")
    agency = request.user.agency
    if agency is None:
        raise NotAllowed("language: given no agency, accepted somebody of an agency")
    return ask(
        request,
        forms.Spoken(_posted(request), initial={"language": agency.language, "decimal": agency.decimal}),
        lambda given: actions.set_language(agency=agency, **given, by=request.user, at=timezone.now()),
        title="Language and decimal sign",
        button="Keep",
        done="Kept. Tablets take it over when they next fetch the kit.",
        to="people",
    )


@read_or_post
def enrol(request: Request) -> HttpResponse:
    require(request.user, "enrol")
    return ask(
        request,
        forms.Enrol(_posted(request)),
        lambda given: actions.enrol(agency=request.user.agency, **given, by=request.user, at=timezone.now()),
        title="Enrol a person",
        button="Enrol",
        done="Enrolled.",
        to="people",
    )


@require_safe
def person(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(Person.objects.for_person(request.user), pk=pk)
    context = {"person": found, "held": found.qualifications.order_by("kind"), "today": today(found, timezone.now())}
    if found.pk == request.user.pk or may(request.user, "read_medical"):
        context |= {"medical": found.examinations.order_by("pk").last(), "shows_medical": True}
    return render(request, "agencies/person.html", context)


@read_or_post
def qualify(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(Person.objects.for_person(request.user), pk=pk)
    require(request.user, "qualify")
    form = forms.Qualify(_posted(request))

    def act(given: dict[str, Any]) -> None:
        actions.qualify(
            person=found,
            kind=given["kind"],
            limits=form.limits(),
            expires=given["expires"],
            by=request.user,
            at=timezone.now(),
        )

    words = {"title": f"Qualification of {found.name}", "button": "Record", "done": "Recorded."}
    return ask(request, form, act, to=found_at("person", found), **words)


@read_or_post
def change_role(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(Person.objects.for_person(request.user), pk=pk)
    require_fresh(request, "enrol")
    return ask(
        request,
        forms.Role(_posted(request), initial={"role": found.role}),
        lambda given: actions.change_role(person=found, **given, by=request.user, at=timezone.now()),
        title=f"Role of {found.name}",
        button="Change role",
        done="Changed.",
        to=found_at("person", found),
    )


@read_or_post
def retire(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(Person.objects.for_person(request.user), pk=pk)
    require(request.user, "enrol")
    return _confirm(
        request,
        lambda _: actions.retire(person=found, by=request.user, at=timezone.now()),
        title=f"Retire {found.name}",
        button=f"End the access of {found.name} now",
        to="people",
    )


@require_safe
def kit(request: Request) -> HttpResponse:
    return render(request, "agencies/kit.html", {"vehicles": _in_use(Vehicle.objects.for_person(request.user))})


@read_or_post
def vehicle(request: Request, pk: UUID | None = None) -> HttpResponse:
    """Adds a vehicle, or changes the one with this id."""
    found = get_object_or_404(_in_use(Vehicle.objects.for_person(request.user)), pk=pk) if pk else None
    require(request.user, "edit_kit")

    def act(given: dict[str, Any]) -> None:
        if found:
            actions.change_vehicle(vehicle=found, **given, by=request.user, at=timezone.now())
        else:
            actions.add_vehicle(agency=request.user.agency, **given, by=request.user, at=timezone.now())

    return ask(
        request,
        forms.VehicleForm(_posted(request), instance=found),
        act,
        title=f"Change {found.name}" if found else "Add a vehicle",
        button="Save",
        done="Saved.",
        to="kit",
        retire=found_at("retire_vehicle", found) if found else "",
    )


@read_or_post
def retire_vehicle(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(_in_use(Vehicle.objects.for_person(request.user)), pk=pk)
    require(request.user, "edit_kit")
    return _confirm(
        request,
        lambda _: actions.retire_vehicle(vehicle=found, by=request.user, at=timezone.now()),
        title=f"Retire {found.name}",
        button=f"Take {found.name} out of use",
        to="kit",
    )


@require_safe
def sites(request: Request) -> HttpResponse:
    rows = _in_use(Site.objects.for_person(request.user)).select_related("station")
    return render(request, "agencies/sites.html", {"sites": rows})


@read_or_post
def site(request: Request, pk: UUID | None = None) -> HttpResponse:
    """Adds a site, or changes the one with this id."""
    found = get_object_or_404(_in_use(Site.objects.for_person(request.user)), pk=pk) if pk else None
    require(request.user, "edit_sites")

    def act(given: dict[str, Any]) -> None:
        if found:
            actions.change_site(site=found, **given, by=request.user, at=timezone.now())
        else:
            actions.add_site(agency=request.user.agency, **given, by=request.user, at=timezone.now())

    return ask(
        request,
        forms.SiteForm(_posted(request), instance=found),
        act,
        title=f"Change {found.name}" if found else "Add a site",
        button="Save",
        done="Saved.",
        to="sites",
        template="agencies/site.html",
        retire=found_at("retire_site", found) if found else "",
    )


@read_or_post
def retire_site(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(_in_use(Site.objects.for_person(request.user)), pk=pk)
    require(request.user, "edit_sites")
    return _confirm(
        request,
        lambda _: actions.retire_site(site=found, by=request.user, at=timezone.now()),
        title=f"Retire {found.name}",
        button=f"Take {found.name} off the list",
        to="sites",
    )


@require_safe
def nearby(request: Request) -> HttpResponse:
    """A part of the site page: stations that match what was typed there."""
    form = forms.StationSearch(request.GET)
    given: dict[str, Any] = form.cleaned_data if form.is_valid() else {"q": "", "lat": None, "lon": None}
    found = stations(text=given["q"], lat=given["lat"], lon=given["lon"])
    return render(request, "agencies/stations.html", {"found": found, "form": form})


@require_safe
def me(request: Request) -> HttpResponse:
    tokens = Token.objects.for_person(request.user).filter(person=request.user, revoked_at__isnull=True)
    sessions = UserSession.objects.purge_and_list(request.user)
    papers = due(request.user, timezone.now(), of=request.user)
    return render(request, "agencies/me.html", {"tokens": tokens, "sessions": sessions, "papers": papers})


@read_or_post
def signing_code(request: Request) -> HttpResponse:
    """The browser makes the key from the code; only salt, iterations and public key arrive here."""
    require_fresh(request, "sign")
    return ask(
        request,
        forms.SigningKey(_posted(request)),
        lambda given: actions.set_signing_code(person=request.user, **given, by=request.user, at=timezone.now()),
        title="Signing code",
        button="Set signing code",
        done="Signing code set. Tablets learn of it at their next contact.",
        to="me",
        template="agencies/signing_code.html",
    )


@read_or_post
def make_token(request: Request) -> HttpResponse:
    require_fresh(request, "read")
    form = forms.TokenName(_posted(request))
    if not (request.method == "POST" and form.is_valid()):
        return render(request, "agencies/form.html", {"form": form, "title": "Token for a program", "button": "Make"})
    token, secret = actions.make_token(
        person=request.user, name=form.cleaned_data["name"], by=request.user, at=timezone.now()
    )
    return render(request, "agencies/token.html", {"token": token, "secret": secret})


@require_POST
def revoke_token(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(Token.objects.for_person(request.user), pk=pk, person=request.user)
    actions.revoke_token(token=found, by=request.user, at=timezone.now())
    return redirect("me")


def _posted(request: Request) -> Any:
    """What was posted, even when it is nothing; None when the page is only read."""
    return request.POST if request.method == "POST" else None


def found_at(name: str, row: Any) -> str:
    return reverse(name, args=[row.pk])


def _in_use(rows: Any) -> Any:
    return rows.filter(retired_at__isnull=True).order_by("name")


def _confirm(request: Request, act: Callable[[dict[str, Any]], object], **words: Any) -> HttpResponse:
    return ask(request, django_forms.Form(_posted(request)), act, done="Done.", **words)
