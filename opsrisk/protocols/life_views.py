"""Pages at the turns of a protocol's life: started, brought in, adopted."""

import json
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from opsrisk.agencies.forms import show
from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.permissions import require
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.protocols import actions
from opsrisk.protocols.compare import compare
from opsrisk.protocols.life_forms import Adopt, Bring, Start, next_version, start_of
from opsrisk.protocols.models import ProtocolVersion, protocol_in_force
from opsrisk.protocols.shipped import BASELINE, baseline
from opsrisk.protocols.views import STALE, one, proof_context

read_or_post = require_http_methods(["GET", "HEAD", "POST"])
MOST_FAULTS = 100  # of a document brought in; the rest is counted


@require_POST
def draft_baseline(request: Request) -> HttpResponse:
    """Starts an agency off with the shipped baseline, to the letter, as a draft."""
    try:
        made = actions.draft(
            agency=request.user.agency, document=BASELINE.read_text(), by=request.user, at=timezone.now()
        )
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("protocols")
    return redirect("protocol", made.pk)


@read_or_post
def start(request: Request, pk: UUID) -> HttpResponse:
    """A draft that says what this version says, until it is edited."""
    base = one(request, pk)
    require(request.user, "draft_protocol")
    agency = request.user.agency
    form = Start(_posted(request), initial=_heading(base))
    if request.method == "POST" and form.is_valid() and agency:
        try:
            made = actions.start_draft(
                agency=agency, base=base, **form.cleaned_data, by=request.user, at=timezone.now()
            )
        except Refused as refused:
            show(form, refused)
        else:
            return redirect("protocol", made.pk)
    words = {"title": f"A draft from {base}", "button": "Start the draft"}
    return render(request, "agencies/form.html", {"form": form, **words}, status=422 if form.errors else 200)


def _heading(base: ProtocolVersion) -> dict[str, str]:
    """What a draft from `base` is likely to be called; from the shipped baseline, after the agency."""
    if base.protocol_id == baseline().id:
        return {"name": base.agency.slug, "version": "1", "title": f"Protocol of {base.agency.name}"}
    title = json.loads(base.text())["title"]
    return {"name": base.protocol_id, "version": next_version(base), "title": title}


@read_or_post
def bring(request: Request) -> HttpResponse:
    """A document of elsewhere as the agency's draft; refused with every fault, and the text stays."""
    require(request.user, "draft_protocol")
    if request.method != "POST":
        return render(request, "protocols/bring.html", {"form": Bring()})
    text = Bring(request.POST, request.FILES).text()
    try:
        made = actions.draft(agency=request.user.agency, document=text, by=request.user, at=timezone.now())
    except Refused as refused:
        faults = [(field.removeprefix("document."), *rest) for field, *rest in refused.errors]
        context = {"form": Bring(initial={"document": text}), "faults": faults[:MOST_FAULTS], "count": len(faults)}
        return render(request, "protocols/bring.html", context, status=422)
    return redirect("protocol", made.pk)


@read_or_post
def adopt(request: Request, pk: UUID) -> HttpResponse:
    """What will be in force, beside what is, and the adopter's reason. Behind a fresh sign-in."""
    found = one(request, pk)
    require_fresh(request, "adopt_protocol")
    now = timezone.now()
    form = Adopt(_posted(request), initial={"effective_from": _today(found, now), "seen": found.digest})
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        begins = start_of(given["effective_from"], now, found.agency.time_zone)
        try:
            actions.adopt(
                version=found,
                by=request.user,
                at=now,
                reason=given["reason"],
                seen=given["seen"],
                effective_from=begins,
            )
        except actions.Stale as refused:
            return _adoption(request, found, _again(form, found, refused), STALE)
        except Refused as refused:
            show(form, refused)
        else:
            messages.success(request, f"{found} is adopted.")
            return redirect("protocol", found.pk)
    return _adoption(request, found, form, 422 if form.errors else 200)


def _adoption(request: Request, found: ProtocolVersion, form: forms.Form, status: int) -> HttpResponse:
    now = protocol_in_force(found.agency, timezone.now())
    context = {
        "form": form,
        "in_force": now,
        "changes": compare(now.text(), found.text()) if now and not now.altered else None,
        "waivers": json.loads(found.text())["waivers"],
        **proof_context(found),
    }
    return render(request, "protocols/adopt.html", context, status=status)


def _again(form: Adopt, found: ProtocolVersion, refused: Refused) -> Adopt:
    """The same answers beside the document as it is now."""
    fresh = Adopt({**form.cleaned_data, "seen": found.digest})
    show(fresh, refused)
    return fresh


def _today(found: ProtocolVersion, now: datetime) -> str:
    return now.astimezone(ZoneInfo(found.agency.time_zone)).date().isoformat()


def _posted(request: Request) -> Any:
    return request.POST if request.method == "POST" else None
