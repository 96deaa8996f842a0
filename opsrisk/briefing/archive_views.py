"""The archive of an operation on the desk: ask for one, see how far it is, take it."""

import hashlib
import logging
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from opsrisk import files
from opsrisk.agencies.forms import show
from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.briefing import archive_actions
from opsrisk.briefing.forms import AskArchive
from opsrisk.briefing.inquiry.archive import VERIFIER
from opsrisk.briefing.models import Archive
from opsrisk.ledger import signing
from opsrisk.operations.models import Operation

log = logging.getLogger(__name__)


@require_http_methods(["GET", "HEAD", "POST"])
def archives(request: Request, pk: UUID) -> HttpResponse:
    """The operation's archives, and the form that asks for another."""
    found = get_object_or_404(Operation.objects.for_person(request.user), pk=pk)
    require_fresh(request, "export_operation")
    form = AskArchive(request.POST if request.method == "POST" else None)
    if form.is_valid():
        try:
            reason = form.cleaned_data["reason"]
            archive_actions.ask_archive(operation=found, reason=reason, by=request.user, at=timezone.now())
        except Refused as refused:
            show(form, refused)
        else:
            messages.success(request, "Asked for. It appears below as soon as it is made.")
            return redirect("archives", found.pk)
    rows = found.archives.select_related("asked_by").order_by("-asked_at", "pk")
    context: dict[str, Any] = {"operation": found, "archives": rows, "form": form, "keys": signing.public_keys()}
    context["program"] = hashlib.sha256(VERIFIER.read_bytes()).hexdigest()
    context["waiting"] = any(row.state == Archive.State.QUEUED for row in rows)
    return render(request, "briefing/archives.html", context, status=422 if form.errors else 200)


@require_safe
def archive_file(request: Request, pk: UUID) -> HttpResponse:
    """The archive's file, if it is still the file that was made. That it was taken is in the log."""
    found = get_object_or_404(Archive.objects.for_person(request.user).select_related("operation"), pk=pk)
    require_fresh(request, "export_operation")
    if found.state != Archive.State.READY:
        return redirect("archives", found.operation_id)
    data = files.unchanged(found.file, found.sha256)
    if data is None:
        log.error("archive %s: the file is missing or was changed", found.pk)
        return render(request, "briefing/archive_changed.html", {"row": found}, status=500)
    archive_actions.hand_out_archive(archive=found, by=request.user, at=timezone.now())
    disposition = {"Content-Disposition": f'attachment; filename="operation-{found.sha256[:10]}.zip"'}
    return HttpResponse(data, content_type="application/zip", headers=disposition)
