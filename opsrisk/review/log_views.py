"""The agency's part of the log, for chief and safety officer. That it was read stands in it, too."""

from django import forms
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from opsrisk.agencies.audit_actions import note_log_read
from opsrisk.agencies.permissions import require
from opsrisk.agencies.signed_in import Request
from opsrisk.ledger.actions import head
from opsrisk.ledger.models import Entry

ON_A_PAGE = 100


class Wanted(forms.Form):
    verb = forms.CharField(max_length=64, required=False, label="What was done, such as refused or sign_in_failed")
    who = forms.CharField(max_length=200, required=False, label="By whom")
    about = forms.CharField(max_length=64, required=False, label="Id of what it was done to")


@require_safe
def log(request: Request) -> HttpResponse:
    """Newest first; each look is an entry of its own."""
    require(request.user, "read_ledger")
    form = Wanted(request.GET)
    wanted = {name: value for name, value in form.cleaned_data.items() if value} if form.is_valid() else {}
    rows = (
        Entry.objects.of_agency(request.user.agency_id).order_by("-index") if form.is_valid() else Entry.objects.none()
    )
    fields = {"verb": "verb__iexact", "who": "actor_name__icontains", "about": "subject_id__iexact"}
    rows = rows.filter(**{fields[name]: value for name, value in wanted.items()})
    page = Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))
    shown = list(page.object_list)  # before this look is in it
    note_log_read(by=request.user, asked={**wanted, "page": str(page.number)}, at=timezone.now())
    context = {"form": form, "page": page, "entries": shown, "head": head(), "wanted": wanted}
    return render(request, "review/log.html", context, status=422 if form.errors else 200)
