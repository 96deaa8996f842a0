"""Operations and assessments on the desk. An assessment is shown from its signed record, never worked out anew."""

from uuid import UUID

from django import forms
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from opsrisk.agencies.forms import show
from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.permissions import require
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.assessment.record import canonical
from opsrisk.ledger.models import Entry
from opsrisk.operations import actions
from opsrisk.operations.briefed import state_of
from opsrisk.operations.models import Assessment, Imported, OfOperation, Operation
from opsrisk.operations.photos_shown import of_assessment, photos_of
from opsrisk.operations.shown import evidence, shown
from opsrisk.operations.side_by_side import log_rows, pairs

ON_A_PAGE = 50


class Close(forms.Form):
    outcome = forms.CharField(
        label="What came of it",
        max_length=4000,
        required=False,  # the action says what is missing
        widget=forms.Textarea(attrs={"rows": 4}),
    )


@require_safe
def operations(request: Request) -> HttpResponse:
    rows = Operation.objects.for_person(request.user).select_related("imported").prefetch_related("assessments")
    rows = rows.order_by("-called_at", "pk")
    page = Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "operations/operations.html", {"page": page})


@require_safe
def operation(request: Request, pk: UUID) -> HttpResponse:
    return _operation(request, get_object_or_404(Operation.objects.for_person(request.user), pk=pk), Close())


@require_http_methods(["POST"])
def close(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(Operation.objects.for_person(request.user), pk=pk)
    require(request.user, "close_operation")
    form = Close(request.POST)
    form.is_valid()
    try:
        outcome = form.cleaned_data.get("outcome", "")
        actions.close_operation(operation=found, outcome=outcome, by=request.user, at=timezone.now())
    except Refused as refused:
        show(form, refused)
        return _operation(request, found, form)
    return redirect("operation", found.pk)


@require_safe
def assessment(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(_assessments(request).select_related("protocol", "superseded_by"), pk=pk)
    context = {"assessment": found, **shown(found)}
    context["photos"] = of_assessment(found, context["record"])
    return render(request, "operations/assessment.html", context)


@require_safe
def record(request: Request, pk: UUID) -> HttpResponse:
    """Everything that proves the record elsewhere: its bytes, signatures, receipt and place in the log."""
    found = get_object_or_404(_assessments(request), pk=pk)
    require_fresh(request, "read")
    name = f"record-{found.digest[:10]}.json"
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(canonical(evidence(found)), content_type="application/json", headers=disposition)


@require_safe
def apart(request: Request, pk: UUID) -> HttpResponse:
    """Revisions that were signed apart, side by side: what each changed, and what stands until a person chooses."""
    found = get_object_or_404(Operation.objects.for_person(request.user), pk=pk)
    return render(request, "operations/apart.html", {"operation": found, "pairs": pairs(found)})


def _assessments(request: Request) -> OfOperation:
    return Assessment.objects.for_person(request.user).select_related(
        "operation", "made_by", "override_second", "voided_by"
    )


def _operation(request: Request, found: Operation, form: Close) -> HttpResponse:
    rows = list(found.assessments.select_related("made_by", "superseded_by").order_by("revision", "received_at"))
    lines = found.log.values_list("pk", flat=True)
    photos = found.photos.values_list("pk", flat=True)
    imported = Imported.objects.filter(operation=found).select_related("of__by").first()
    subjects = [str(found.pk), *(str(row.pk) for row in rows), *map(str, lines), *map(str, photos)]
    if imported:
        subjects.append(str(imported.of_id))
    entries = Entry.objects.of_agency(found.agency_id).filter(subject_id__in=subjects).order_by("index")
    current = [row for row in rows if row.stands]
    context = {"operation": found, "assessments": rows, "entries": entries, "form": form, "rivals": len(current) > 1}
    context["imported"] = imported
    context["log"] = list(log_rows(found))
    context["debriefed"] = found.debriefs.select_related("by").order_by("-number").first()
    context["briefings"] = [(row, state_of(row)) for row in current]
    context["photos"] = photos_of(found)
    return render(request, "operations/operation.html", context, status=422 if form.errors else 200)
