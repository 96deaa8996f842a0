"""The tablet's page and what it fetches. The page itself holds nothing of any agency."""

import json
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from opsrisk.agencies.models import Person
from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.questions import questions
from opsrisk.briefing.languages import LANGUAGES, catalogue
from opsrisk.tablet.bundle import bundle
from opsrisk.tablet.kit import kit_document, session_document
from opsrisk.tablet.shell import OURS, shell

SCRIPT = "text/javascript; charset=utf-8"
ICONS = [
    {"src": "/static/tablet/icon.svg", "sizes": "any", "type": "image/svg+xml", "purpose": "any"},
    {"src": "/static/tablet/icon-192.png", "sizes": "192x192", "type": "image/png", "purpose": "any"},
    {"src": "/static/tablet/icon-512.png", "sizes": "512x512", "type": "image/png", "purpose": "any maskable"},
]
MANIFEST = {
    "id": "/tablet/",
    "name": "OpsRisk tablet",
    "short_name": "OpsRisk",
    "description": "Pre-dive assessment at the water's edge, with or without a network",
    "start_url": "/tablet/",
    "scope": "/tablet/",
    "display": "standalone",
    "background_color": "#ffffff",
    "theme_color": "#0b3d5c",
    "icons": ICONS,
}


def with_agency(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Answers 401 to a stranger: a page that runs offline cannot follow a redirect to a sign-in form."""

    @login_not_required
    @require_safe
    @wraps(view)
    def answer(request: HttpRequest, **named: Any) -> HttpResponse:
        person = request.user
        if not isinstance(person, Person) or not person.is_active:
            return JsonResponse({"errors": "Sign in first."}, status=401)
        if person.agency_id is None:
            return JsonResponse({"errors": "The tablet is for people of an agency."}, status=403)
        return view(request, person, **named)

    return answer


@login_not_required
@require_safe
def page(request: HttpRequest) -> HttpResponse:
    return render(request, "tablet/shell.html", {"version": shell().version})


@login_not_required
@require_safe
def service_worker(request: HttpRequest) -> HttpResponse:
    """The worker with the list of files in front, so that a changed file changes the worker's own bytes."""
    known = json.dumps({"version": shell().version, "files": shell().files})
    text = f"const SHELL = {known};\n{(OURS / 'sw.js').read_text()}"
    return HttpResponse(text, content_type=SCRIPT, headers={"Cache-Control": "no-cache"})


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """Under /tablet/, so that the worker's own requests go through the service worker too."""
    return HttpResponse((OURS / "worker.js").read_text(), content_type=SCRIPT)


@login_not_required
@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    return JsonResponse(MANIFEST, content_type="application/manifest+json")


@login_not_required
@require_safe
def bundle_zip(request: HttpRequest) -> HttpResponse:
    return HttpResponse(bundle().content, content_type="application/zip")


@login_not_required
@require_safe
def bundle_json(request: HttpRequest) -> HttpResponse:
    known = {"digest": bundle().digest, "questions": questions(), "cautions": list(CAUTIONS)}
    return JsonResponse(known | {"languages": {tag: catalogue(tag) for tag in LANGUAGES}})


@login_not_required
@require_safe
def session(request: HttpRequest) -> HttpResponse:
    """Nobody is an ordinary answer here: the page asks before every sending, also after a shift has ended."""
    person = request.user
    if not isinstance(person, Person) or not person.is_active or person.agency_id is None:
        return JsonResponse({"person": None, "now": timezone.now().isoformat(timespec="milliseconds")})
    return JsonResponse(session_document(person, get_token(request), timezone.now()))


@with_agency
def kit(request: HttpRequest, person: Person) -> HttpResponse:
    return JsonResponse(kit_document(person, timezone.now()))
