"""A protocol is drafted by one person and adopted by another; from then on it never changes."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Agency, Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import Refused, checked
from opsrisk.assessment.record import digest
from opsrisk.engine.protocol import ProtocolRefused, read_protocol
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.shipped import baseline

CLOCK_TOLERANCE = timedelta(minutes=5)


class NotADraft(Refused):
    """Only a draft is adopted."""


class NotProven(Refused):
    """Nothing shows that these rules decide without holes and contradictions."""


class SamePerson(Refused):
    """Author and adopter are two people."""


@transaction.atomic
def draft(*, agency: Agency | None, document: str, by: Person, at: datetime) -> ProtocolVersion:
    """Keeps a protocol document as the agency's draft. Raises Refused naming every fault of the document."""
    if by.agency_id and (agency is None or by.agency_id != agency.pk):
        raise NotAllowed("another agency's protocol is not yours to draft")
    require(by, "draft_protocol")
    try:
        read = read_protocol(document)
    except ProtocolRefused as fault:
        raise Refused(*(("document." + place, given, accepted) for place, given, accepted in fault.errors)) from fault
    version = ProtocolVersion(
        agency=agency,
        protocol_id=read.id,
        version=read.version,
        digest=digest(read.document),
        document=document,
        author=by,
        drafted_at=at,
    )
    checked(version).save(force_insert=True)
    _log(by, at, version, "draft_protocol")
    return version


@transaction.atomic
def adopt(
    *, version: ProtocolVersion, by: Person, at: datetime, effective_from: datetime | None = None
) -> ProtocolVersion:
    """Puts a draft in force, from now or a later time. The version in force until then is superseded."""
    if by.agency_id != version.agency_id:
        raise NotAllowed("another agency's protocol is not yours to adopt")
    require(by, "adopt_protocol")
    version = ProtocolVersion.objects.select_for_update().get(pk=version.pk)
    start = effective_from or at
    _check_adoption(version, by, at, start)
    for former in ProtocolVersion.objects.filter(agency=version.agency_id, state=ProtocolVersion.State.ADOPTED):
        former.state = ProtocolVersion.State.SUPERSEDED
        former.save(update_fields=["state"])
        _log(by, at, former, "supersede_protocol")
    version.state, version.adopted_by, version.adopted_at = ProtocolVersion.State.ADOPTED, by, at
    version.effective_from = start
    version.save()
    _log(by, at, version, "adopt_protocol")
    return version


def is_proven(version: ProtocolVersion) -> bool:
    """The shipped baseline, to the letter, or a version whose own proof result is attached and holds."""
    if version.digest == digest(baseline().document):
        return True
    proof = version.proof or {}
    return proof.get("digest") == version.digest and proof.get("holds") is True


def _check_adoption(version: ProtocolVersion, by: Person, at: datetime, start: datetime) -> None:
    if version.state != ProtocolVersion.State.DRAFT:
        raise NotADraft(("state", version.get_state_display(), "a draft"))
    if by.pk == version.author_id:
        raise SamePerson(("adopted_by", by.name, f"somebody other than the author, {version.author.name}"))
    if not is_proven(version):
        raise NotProven(
            (
                "proof",
                "none" if version.proof is None else "one that does not hold for this document",
                "the shipped baseline unchanged, or a version with a proof that it has no hole and no contradiction",
            )
        )
    if start < at - CLOCK_TOLERANCE:
        raise Refused(("effective_from", start.isoformat(), "now or later: what was decided stays decided"))


def _log(by: Person, at: datetime, version: ProtocolVersion, verb: str) -> None:
    start = version.effective_from.isoformat() if version.effective_from else None
    detail = {
        "id": version.protocol_id,
        "version": version.version,
        "digest": version.digest,
        "effective_from": start,
        "proven": "baseline" if version.proof is None and is_proven(version) else bool(version.proof),
    }
    enter(by=by, at=at, agency_id=version.agency_id, verb=verb, subject=version, detail=detail)
