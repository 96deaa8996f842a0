"""Declaring a record void on the desk: a page that shows what it is about, a reason, and a factor given just now."""

from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from opsrisk.agencies.forms import show
from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.operations.models import Assessment
from opsrisk.operations.shown import shown
from opsrisk.operations.void_actions import AlreadyVoid, HasChanged, state, void_record


class Void(forms.Form):
    reason = forms.CharField(
        label="Why it is void",
        help_text="At least 15 characters. It stands on every page and sheet of this record.",
        max_length=4000,
        error_messages={"required": "Give at least 15 characters."},
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    # What the page showed: the record may change between reading and confirming.
    shown = forms.CharField(widget=forms.HiddenInput, required=False, max_length=20_000)


@require_http_methods(["GET", "HEAD", "POST"])
def void(request: Request, pk: UUID) -> HttpResponse:
    rows = Assessment.objects.for_person(request.user).select_related("operation", "made_by", "voided_by")
    found = get_object_or_404(rows, pk=pk)
    require_fresh(request, "void_record")
    if request.method != "POST":
        return _page(request, found, Void(initial={"shown": state(found)}))
    form = Void(request.POST)
    if not form.is_valid():
        return _page(request, found, form, status=422)
    given = form.cleaned_data
    try:
        void_record(assessment=found, by=request.user, at=timezone.now(), **given)
    except (HasChanged, AlreadyVoid) as changed:
        # The page of this moment, with what was typed; whoever confirms again has seen the change.
        fresh = Void({"reason": given["reason"], "shown": state(found)})
        show(fresh, changed)
        return _page(request, found, fresh, status=409, changed=True)
    except Refused as refused:
        show(form, refused)
        return _page(request, found, form, status=422)
    messages.success(request, "Declared void. Every page and sheet of it says so.")
    return redirect("assessment", found.pk)


def _page(request: Request, found: Assessment, form: Void, *, status: int = 200, changed: bool = False) -> HttpResponse:
    context = {"assessment": found, "form": form, "changed": changed, **shown(found)}
    return render(request, "operations/void.html", context, status=status)
