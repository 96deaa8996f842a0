"""Proves drafts. May run twice or die in the middle: a result is kept only for the document that it is about."""

import logging
from collections.abc import Iterator
from time import perf_counter
from uuid import UUID

from django.utils import timezone

from opsrisk.engine.proof import prove
from opsrisk.jobs import job
from opsrisk.protocols import proofs
from opsrisk.protocols.actions import PROVE, keep_proof
from opsrisk.protocols.models import ProtocolVersion

log = logging.getLogger(__name__)


def _waiting() -> Iterator[tuple[str, ...]]:
    rows = ProtocolVersion.objects.filter(state=ProtocolVersion.State.DRAFT, proof__state=proofs.QUEUED)
    for pk, digest in rows.values_list("pk", "digest"):
        yield str(pk), digest


@job(PROVE, left_over=_waiting)
def prove_draft(version_id: str, digest: str) -> None:
    """All nine properties of one draft, unless it has changed, been adopted or been proven since."""
    version = ProtocolVersion.objects.filter(
        pk=UUID(version_id), digest=digest, state=ProtocolVersion.State.DRAFT, proof__state=proofs.QUEUED
    ).first()
    if version is None:
        return
    began = perf_counter()
    try:
        rules = version.rules()
        results = prove(rules)
        proof = proofs.finished(rules, digest, results, at=timezone.now(), seconds=perf_counter() - began)
    except Exception as fault:  # whatever it was, nothing is proven, and whoever asked must be told
        log.exception("protocol %s could not be proven", version.pk)
        proof = proofs.failed(digest, f"{type(fault).__name__}: {fault}", timezone.now())
    keep_proof(version=version.pk, proof=proof, at=timezone.now())
