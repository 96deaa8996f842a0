"""The editor of a draft: one page for each entry. Works without scripts; every button is a plain submit."""

import json
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from opsrisk.agencies.permissions import require
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.engine.inputs import INPUTS, Configuration
from opsrisk.protocols import actions
from opsrisk.protocols.conditions import new_limit, rebuilt
from opsrisk.protocols.forms import EntryForm, RuleForm, form_for
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.places import LISTS, OPEN, Place, entry_at, place_of
from opsrisk.protocols.strips import strip
from opsrisk.protocols.table import TITLES
from opsrisk.protocols.views import STALE, one
from opsrisk.protocols.words import title_of

read_or_post = require_http_methods(["GET", "HEAD", "POST"])


@read_or_post
def entry(request: Request, pk: UUID, section: str, name: str) -> HttpResponse:
    """Shows and changes one entry of a draft."""
    version = one(request, pk)
    require(request.user, "draft_protocol")
    document = json.loads(version.text())
    place = Place(section, name)
    found = entry_at(document, place) if section in TITLES else None
    if found is None and place != Place("heading", "note"):
        raise Http404("no such entry")
    return _form(request, version, document, place, found)


@read_or_post
def new(request: Request, pk: UUID, section: str) -> HttpResponse:
    """Asks for an entry that is not there yet; for a rule or factor the address says on which reading."""
    version = one(request, pk)
    require(request.user, "draft_protocol")
    reading = request.GET.get("input", "")
    item = INPUTS.get(reading)
    if section not in OPEN or (section in LISTS and item is None) or _no_points(section, item):
        raise Http404("no such section, or no reading to make an entry on")
    document = json.loads(version.text())
    name = request.POST.get("id", "").strip() or _free_name(document, section, reading or "waiver")
    if section == "waivers":
        fresh: Any = ""
    else:
        fresh = {"input": reading, "points": []} if section == "factors" else {"text": "", "when": new_limit(reading)}
    return _form(request, version, document, Place(section, name), fresh, is_new=True)


def _form(
    request: Request, version: ProtocolVersion, document: Any, place: Place, found: Any, *, is_new: bool = False
) -> HttpResponse:
    kind = form_for(place.section)
    if request.method != "POST":
        return _page(request, version, kind(document=document, place=place, entry=found), is_new)
    form = kind(request.POST, document=document, place=place, entry=found)
    act = request.POST.get("act", "save")
    if isinstance(form, RuleForm) and ":" in act:
        return _page(request, version, _rearranged(request, form, act), is_new)
    if form.errors:
        return _page(request, version, form, is_new, 422)
    removed = act == "remove" and not is_new
    try:
        _check_new(document, place, is_new)
        value, source = (None, None) if removed else (form.value(), form.source())
        actions.edit_draft(
            version=version, place=place, value=value, source=source, by=request.user, at=timezone.now(),
            seen=request.POST.get("seen"),
        )  # fmt: skip
    except actions.Stale as refused:
        version.refresh_from_db()
        return _page(request, version, _faulted(form, refused), is_new, STALE)
    except Refused as refused:
        return _page(request, version, _faulted(form, refused), is_new, 422)
    done = f"Removed: {title_of(place, found)}." if removed else f"Saved: {title_of(place, form.value())}."
    messages.success(request, done)
    return redirect("protocol", version.pk)


def _rearranged(request: Request, form: RuleForm, act: str) -> RuleForm:
    """The form with its condition changed in shape; everything typed stays, nothing is saved."""
    verb, _, path = act.partition(":")
    typed = form.entry()
    try:
        typed["when"] = rebuilt(typed["when"], verb, path, request.POST.get("reading", ""))
    except (LookupError, StopIteration) as fault:
        raise Http404("no such part of the condition") from fault
    return RuleForm(document=form.document, place=form.place, entry=typed)


def _faulted(form: EntryForm, refused: Refused) -> EntryForm:
    """Each fault beside the field that it is about; those elsewhere in the document are named by their place."""
    for field, given, accepted in refused.errors:
        fault = field.removeprefix("document.")
        at = place_of({**form.document, form.place.section: _with(form)}, fault)
        if at and at[0] == form.place:
            form.add_error(form.field_of(at[1]), f"given {given}, accepted {accepted}")
        else:
            form.add_error(None, f"{fault}: given {given}, accepted {accepted}")
    return form


def _with(form: EntryForm) -> Any:
    """The section of the form's entry, with a new entry in it, so that its faults are found there."""
    section = form.document.get(form.place.section)
    if form.place.section in LISTS and entry_at(form.document, form.place) is None:
        return [*(section or []), {"id": form.place.id}]
    return section


def _page(request: Request, version: ProtocolVersion, form: EntryForm, is_new: bool, status: int = 200) -> HttpResponse:
    place = form.place
    section = TITLES[place.section]
    context = {
        "version": version,
        "form": form,
        "place": place,
        "is_new": is_new,
        "title": f"A new entry of '{section}'" if is_new else title_of(place, form.given),
        "section_title": section,
        "removable": place.section in OPEN and not is_new,
        "strip": strip(form.document, form.given) if place.section == "factors" and not is_new else None,
        "readings": [(name, item.label) for name, item in INPUTS.items()],
        "reading": request.POST.get("reading", ""),
        "mine": version.author_id == request.user.pk and version.state == ProtocolVersion.State.DRAFT,
    }
    return render(request, "protocols/entry.html", context, status=status)


def _check_new(document: Any, place: Place, is_new: bool) -> None:
    if is_new and entry_at(document, place) is not None:
        raise Refused(("id", place.id, "a name that no other entry of this section has"))


def _no_points(section: str, item: object) -> bool:
    return section == "factors" and isinstance(item, Configuration)


def _free_name(document: Any, section: str, reading: str) -> str:
    """A name for a new entry: what it is about, and a number where that is taken."""
    stem = reading.rpartition(".")[2]
    taken = {each["id"] for part in LISTS for each in document[part]} | set(document["waivers"])
    number = next(number for number in range(1, len(taken) + 2) if (f"{stem}_{number}") not in taken)
    return f"{stem}_{number}" if stem in taken else stem
