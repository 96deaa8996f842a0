"""A photo on the desk: the copy that may be shown to colleagues, and the original for an inquiry."""

import logging
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from opsrisk import files
from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.operations.models import Photo
from opsrisk.operations.photo_actions import give_original

log = logging.getLogger(__name__)


@require_safe
def photo(request: Request, pk: UUID) -> HttpResponse:
    """The picture without anything else that the camera wrote."""
    found = _received(request, pk)
    data = files.read(found.shown)
    if data is None:
        log.error("photo %s: the copy to show is missing", found.pk)
        raise Http404
    return _file(data, "image/jpeg", f"photo-{found.sha256[:10]}.jpg")


@require_http_methods(["POST"])
def photo_original(request: Request, pk: UUID) -> HttpResponse:
    """Asked for by a button, since handing it out is written into the log."""
    found = _received(request, pk)
    require_fresh(request, "read_originals")
    try:
        data = give_original(photo=found, by=request.user, at=timezone.now())
    except Refused as refused:
        log.error("photo %s: %s", found.pk, refused)
        return render(request, "operations/photo_changed.html", {"photo": found}, status=500)
    return _file(data, "application/octet-stream", f"photo-{found.sha256[:10]}.original")


def _received(request: Request, pk: UUID) -> Photo:
    found = get_object_or_404(Photo.objects.for_person(request.user).select_related("operation"), pk=pk)
    if not found.received_at:
        raise Http404
    return found


def _file(data: bytes, kind: str, name: str) -> HttpResponse:
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(data, content_type=kind, headers=disposition)
