"""Asking that records past their period go, and agreeing to it."""

from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from opsrisk.agencies.forms import show
from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.records.models import DiveRecord, Purge, TrainingDay
from opsrisk.records.purge_actions import ROWS, agree_purge, ask_purge

ASKS = require_http_methods(["GET", "HEAD", "POST"])


class Asked(forms.Form):
    kind = forms.ChoiceField(label="Kind of record", choices=[("", "Choose"), *Purge.Kind.choices])
    reason = forms.CharField(label="Why they go", max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))


@ASKS
def ask(request: Request) -> HttpResponse:
    require_fresh(request, "purge")
    agency = request.user.agency
    if agency is None:
        raise NotAllowed("purge: given no agency, accepted somebody of an agency")
    form = Asked(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            made = ask_purge(agency=agency, **form.cleaned_data, by=request.user, at=timezone.now())
        except Refused as refused:
            show(form, refused)
        else:
            return redirect("agree_purge", made.pk)
    return render(request, "records/ask_purge.html", {"form": form}, status=422 if form.errors else 200)


@ASKS
def agree(request: Request, pk: UUID) -> HttpResponse:
    """What was asked for, record by record, with the button for a second person."""
    found = get_object_or_404(Purge.objects.for_person(request.user).select_related("asked_by", "agreed_by"), pk=pk)
    require_fresh(request, "purge")
    form = forms.Form(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            agree_purge(purge=found, by=request.user, at=timezone.now())
        except Refused as refused:
            show(form, refused)
        else:
            return redirect("agree_purge", found.pk)
    context = {"purge": found, "rows": _rows(found), "form": form}
    return render(request, "records/agree_purge.html", context, status=422 if form.errors else 200)


def _rows(purge: Purge) -> list[tuple[str, str]]:
    """Each record in words, as long as it is there, with its digest."""
    rows: dict[str, object] = {
        str(one.pk): one for one in ROWS[purge.kind].objects.filter(pk__in=[named["record"] for named in purge.what])
    }
    return [(_words(rows.get(named["record"])), named["sha256"]) for named in purge.what]


def _words(row: object) -> str:
    if isinstance(row, DiveRecord):
        return f"{row.in_at:%Y-%m-%d}, {row.diver_name}, {row.place}, record {row.number}"
    if isinstance(row, TrainingDay):
        return f"{row.held_on}, {row.what}, entry {row.number}"
    return "gone"
