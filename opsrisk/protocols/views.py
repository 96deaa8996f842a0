"""The safety officer's pages: versions, one version as tables with its proof, two versions side by side."""

import json
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from opsrisk.agencies.permissions import may
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.engine.inputs import INPUTS
from opsrisk.physics.no_stop import DIGEST as TABLES_DIGEST
from opsrisk.protocols import actions, proofs
from opsrisk.protocols.compare import compare
from opsrisk.protocols.models import ProtocolVersion, protocol_in_force
from opsrisk.protocols.no_stop_tables import adoption_words
from opsrisk.protocols.places import OPEN
from opsrisk.protocols.shipped import BASELINE
from opsrisk.protocols.table import TITLES, sections

SHIPPED = "shipped"  # stands for the shipped baseline where a version is asked for
STALE = 409


def versions(request: Request) -> "list[ProtocolVersion]":
    """The agency's versions, newest first."""
    rows = ProtocolVersion.objects.for_person(request.user).select_related("author", "adopted_by")
    return list(rows.order_by("-drafted_at", "-version"))


def one(request: Request, pk: UUID) -> ProtocolVersion:
    rows = ProtocolVersion.objects.for_person(request.user)
    return get_object_or_404(rows.select_related("author", "adopted_by", "based_on", "agency"), pk=pk)


@require_safe
def protocols(request: Request) -> HttpResponse:
    now = protocol_in_force(request.user.agency, timezone.now())
    return render(request, "protocols/protocols.html", {"versions": versions(request), "in_force": now})


@require_safe
def protocol(request: Request, pk: UUID) -> HttpResponse:
    return page(request, one(request, pk))


@require_safe
def proof(request: Request, pk: UUID) -> HttpResponse:
    """The part of the page that says whether the document is proven; it asks again by itself until it knows."""
    found = one(request, pk)
    return render(request, "protocols/proof.html", proof_context(found))


@require_safe
def document(request: Request, pk: UUID) -> HttpResponse:
    """The document to the letter, as it was drafted and adopted."""
    found = one(request, pk)
    name = f"{found.protocol_id}-{found.version}.json"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(found.text(), content_type="application/json", headers=headers)


@require_safe
def differences(request: Request, pk: UUID) -> HttpResponse:
    """What this version says otherwise than another of the agency's, or than the shipped baseline."""
    found = one(request, pk)
    others = [each for each in versions(request) if each.pk != found.pk]
    asked = request.GET.get("with", "") or _former(found)
    other = next((each for each in others if str(each.pk) == asked), None)
    if other is None and asked != SHIPPED:
        raise Http404("no such version")
    context = {
        "version": found,
        "other": other,
        "others": others,
        "asked": asked,
        "changes": compare(other.text() if other else BASELINE.read_text(), found.text()),
        "titles": TITLES,
    }
    return render(request, "protocols/differences.html", context)


@require_POST
def prove(request: Request, pk: UUID) -> HttpResponse:
    """Asks for the proof again, after the prover broke or the engine changed."""
    found = one(request, pk)
    try:
        actions.ask_for_proof(version=found, by=request.user, at=timezone.now())
    except Refused as refused:
        return page(request, found, refused)
    return redirect("protocol", found.pk)


@require_POST
def discard(request: Request, pk: UUID) -> HttpResponse:
    found = one(request, pk)
    try:
        actions.discard_draft(version=found, by=request.user, at=timezone.now())
    except Refused as refused:
        return page(request, found, refused)
    return redirect("protocols")


def page(request: Request, found: ProtocolVersion, refused: Refused | None = None) -> HttpResponse:
    """One version; with `refused`, what was wrong with the act that was asked for."""
    draft = found.state == ProtocolVersion.State.DRAFT
    context = {
        "version": found,
        "sections": [] if found.altered else sections(found.text()),
        "tables": {} if found.altered else adoption_words(json.loads(found.text())),
        "tables_as_shown": TABLES_DIGEST,
        "open": OPEN,
        "readings": [(name, item.label) for name, item in INPUTS.items()],
        "editable": draft and found.author_id == request.user.pk and may(request.user, "draft_protocol"),
        "refused": refused,
        "former": _former(found),
        **proof_context(found),
    }
    return render(request, "protocols/protocol.html", context, status=422 if refused else 200)


def proof_context(found: ProtocolVersion) -> dict[str, object]:
    """How the proof of `found` stands, for the page and for the part of it that asks again."""
    given = found.proof or {}
    current = given.get("digest") == found.digest
    return {
        "version": found,
        "proven": actions.is_proven(found),
        "proof": given if current else {},
        "waiting": current and given.get("state") == proofs.QUEUED,
        "broken": [one for one in given.get("properties", []) if not one["proven"]] if current else [],
        "words": proofs.state_words(found.proof, found.digest),
    }


def _former(found: ProtocolVersion) -> str:
    """What `found` was started from; versions from elsewhere are compared with the shipped baseline."""
    return str(found.based_on_id) if found.based_on_id else SHIPPED
