"""The safety officer's pages: versions, one version as tables, draft and adopt."""

from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from opsrisk.agencies.forms import show
from opsrisk.agencies.permissions import require
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.protocols import actions
from opsrisk.protocols.models import ProtocolVersion, protocol_in_force
from opsrisk.protocols.shipped import BASELINE
from opsrisk.protocols.table import sections


@require_safe
def protocols(request: Request) -> HttpResponse:
    rows = ProtocolVersion.objects.for_person(request.user).select_related("author", "adopted_by")
    now = protocol_in_force(request.user.agency, timezone.now())
    return render(request, "protocols/protocols.html", {"versions": rows.order_by("-drafted_at"), "in_force": now})


@require_safe
def protocol(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(ProtocolVersion.objects.for_person(request.user), pk=pk)
    return _page(request, found, forms.Form())


@require_safe
def document(request: Request, pk: UUID) -> HttpResponse:
    """The document to the letter, as it was drafted and adopted."""
    found = get_object_or_404(ProtocolVersion.objects.for_person(request.user), pk=pk)
    name = f"{found.protocol_id}-{found.version}.json"
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(found.document, content_type="application/json", headers=disposition)


@require_POST
def draft_baseline(request: Request) -> HttpResponse:
    """Starts an agency off with the shipped baseline as a draft."""
    try:
        made = actions.draft(
            agency=request.user.agency, document=BASELINE.read_text(), by=request.user, at=timezone.now()
        )
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("protocols")
    return redirect("protocol", made.pk)


@require_POST
def adopt(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(ProtocolVersion.objects.for_person(request.user), pk=pk)
    require(request.user, "adopt_protocol")
    form = forms.Form(request.POST)
    try:
        actions.adopt(version=found, by=request.user, at=timezone.now())
    except Refused as refused:
        form.is_valid()
        show(form, refused)
        return _page(request, found, form, status=422)
    messages.success(request, f"{found} is in force.")
    return redirect(reverse("protocol", args=[found.pk]))


def _page(request: Request, found: ProtocolVersion, form: forms.Form, status: int = 200) -> HttpResponse:
    context = {"version": found, "sections": sections(found.document), "proven": actions.is_proven(found), "form": form}
    return render(request, "protocols/protocol.html", context, status=status)
