"""Pages of a sheet: ask for it, read it, download it, print it, and the one that anybody may open to check a code."""

import logging
from uuid import UUID

from allauth.account.adapter import get_adapter
from django import forms
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.templatetags.static import static
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from opsrisk import files
from opsrisk.agencies.forms import show
from opsrisk.agencies.permissions import require
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.briefing import actions
from opsrisk.briefing.content import content
from opsrisk.briefing.forms import Issue, Withdraw
from opsrisk.briefing.models import Sheet
from opsrisk.briefing.pdf import qr_code
from opsrisk.briefing.status import status
from opsrisk.operations.models import Assessment

log = logging.getLogger(__name__)
CHECKS_A_MINUTE = 60  # of codes, from one address


@require_POST
def issue_sheet(request: Request, pk: UUID) -> HttpResponse:
    """Asks for the sheet of assessment `pk`."""
    assessment = get_object_or_404(Assessment.objects.for_person(request.user), pk=pk)
    require(request.user, "issue_sheet")
    form = Issue(request.POST)
    given = form.cleaned_data if form.is_valid() else request.POST
    asked = {name: given.get(name, "") for name in ("paper", "language")}
    try:
        made = actions.issue_sheet(assessment=assessment, **asked, by=request.user, at=timezone.now())
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("assessment", assessment.pk)
    return redirect("sheet", made.pk)


@require_safe
def sheet(request: Request, pk: UUID) -> HttpResponse:
    """How far it is, and what can be done with it."""
    return _page(request, _own(request, pk), Withdraw())


@require_POST
def withdraw_sheet(request: Request, pk: UUID) -> HttpResponse:
    found = _own(request, pk)
    require(request.user, "issue_sheet")
    form = Withdraw(request.POST)
    if not form.is_valid():
        return _page(request, found, form, code=422)
    try:
        actions.withdraw(sheet=found, reason=form.cleaned_data["reason"], by=request.user, at=timezone.now())
    except Refused as refused:
        show(form, refused)
        return _page(request, found, form, code=422)
    messages.success(request, "Withdrawn. Its code now answers: superseded.")
    return redirect("sheet", found.pk)


@require_safe
def sheet_pdf(request: Request, pk: UUID) -> HttpResponse:
    """The sealed file, if it is still the file that was sealed."""
    found = _own(request, pk)
    if found.state != Sheet.State.READY or _stale(found):
        return _page(request, found, Withdraw(), code=409)
    data = files.unchanged(found.pdf, found.sha256)
    if data is None:
        log.error("sheet %s: the file is missing or was changed", found.pk)
        return render(request, "briefing/changed.html", {"row": found}, status=500)
    name = f"sheet-{found.code}-{found.paper}{_suffix(found)}.pdf"
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(data, content_type="application/pdf", headers=disposition)


@require_safe
def sheet_print(request: Request, pk: UUID) -> HttpResponse:
    """The same content as the file, for the browser's own print."""
    found = _own(request, pk)
    made = content(found)
    context = {"sheet": made, "paper": found.paper, "qr": qr_code(made), "root": static("")}
    return render(request, "briefing/paper.html", context)


@login_not_required
@require_safe
def public_sheet(request: HttpRequest, code: str) -> HttpResponse:
    """Current, superseded or unknown, for whoever holds the paper."""
    if _too_many(request):
        slow_down = render(request, "briefing/too_many.html", status=429)
        slow_down.headers["Retry-After"] = "60"
        return slow_down
    found = status(code)
    return render(request, "briefing/public.html", {"found": found}, status=404 if found.word == "unknown" else 200)


def _suffix(found: Sheet) -> str:
    """English names stay what they were."""
    return "" if found.language == "en" else f"-{found.language}"


def _own(request: Request, pk: UUID) -> Sheet:
    rows = Sheet.objects.for_person(request.user).select_related("assessment__operation__agency")
    return get_object_or_404(rows, pk=pk)


def _page(request: Request, found: Sheet, form: forms.Form, code: int = 200) -> HttpResponse:
    return render(request, "briefing/sheet.html", {"row": found, "form": form, "stale": _stale(found)}, status=code)


def _stale(found: Sheet) -> bool:
    """Whether the file was sealed before its record was declared void, and so does not say it."""
    void = found.assessment.voided_at
    return bool(void and void > found.made_at)


def _too_many(request: HttpRequest) -> bool:
    """Whether this address has checked too many codes within a minute: guessing codes is not worth a try."""
    key = f"sheet-checks-{get_adapter().get_client_ip(request)}-{int(timezone.now().timestamp()) // 60}"
    cache.add(key, 0, timeout=120)
    try:
        return cache.incr(key) > CHECKS_A_MINUTE
    except ValueError:  # thrown out of a full cache between the two lines
        return False
