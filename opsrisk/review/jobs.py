"""Keeps past facts ready, so that nobody waits for a hundred thousand records to be read."""

from datetime import timedelta
from uuid import UUID

from opsrisk.agencies.models import Agency
from opsrisk.jobs import enqueue, job
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.review.actions import drop_unused_facts, work_out_facts
from opsrisk.review.facts import basis_of

PREPARE, PREPARE_ALL = "review.prepare", "review.prepare_all"
NO_END = 10_000_000


@job(PREPARE)
def prepare(version_id: str) -> int:
    """Works out what is missing on the basis of one version; returns of how many assessments."""
    version = ProtocolVersion.objects.select_related("agency").filter(pk=UUID(version_id)).first()
    return work_out_facts(agency=version.agency, protocol=version.rules(), most=NO_END) if version else 0


@job(PREPARE_ALL, every=timedelta(hours=1))
def prepare_all() -> None:
    """For every agency: its drafts and its version in force. Facts on other bases go."""
    for agency in Agency.objects.all():
        versions = ProtocolVersion.objects.filter(agency=agency).exclude(state=ProtocolVersion.State.SUPERSEDED)
        drop_unused_facts(agency=agency, keep=frozenset(basis_of(version.rules()) for version in versions))
        for version in versions:
            enqueue(PREPARE, str(version.pk))
