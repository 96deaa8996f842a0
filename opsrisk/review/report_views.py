"""The reports of months and years that have ended, as they were made."""

import logging
from uuid import UUID

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from opsrisk import files
from opsrisk.agencies.permissions import require
from opsrisk.agencies.signed_in import Request
from opsrisk.review.models import Report

log = logging.getLogger(__name__)
ON_A_PAGE = 60


@require_safe
def reports(request: Request) -> HttpResponse:
    require(request.user, "review")
    rows = Report.objects.for_person(request.user).order_by("-first_day", "period")
    return render(
        request, "review/reports.html", {"page": Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))}
    )


@require_safe
def report_pdf(request: Request, pk: UUID) -> HttpResponse:
    """The file, if it is still the file that was made."""
    found = get_object_or_404(Report.objects.for_person(request.user), pk=pk)
    require(request.user, "review")
    data = files.unchanged(found.file, found.sha256)
    if data is None:
        log.error("report %s: the file is missing or was changed", found.pk)
        return render(request, "review/report_changed.html", {"report": found}, status=500)
    name = f"report-{found.period}-{found.first_day:%Y-%m-%d}.pdf"
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(data, content_type="application/pdf", headers=disposition)
