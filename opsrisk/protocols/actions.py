"""The life of a protocol: drafted by one person, proven, adopted by another; from then on it never changes.

A draft is edited by its author alone. Whoever else wants it otherwise starts a draft of their own from it, so
that author and adopter of every number are two people.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import ProtectedError

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Agency, Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import Refused, checked
from opsrisk.assessment.record import digest
from opsrisk.engine.protocol import Protocol, ProtocolRefused, read_protocol
from opsrisk.jobs import enqueue
from opsrisk.ledger.actions import SYSTEM, append
from opsrisk.protocols import proofs
from opsrisk.protocols.edits import EditRefused
from opsrisk.protocols.models import NotAsStored, ProtocolVersion
from opsrisk.protocols.places import Place, entry_at, with_entry
from opsrisk.protocols.shipped import baseline

CLOCK_TOLERANCE = timedelta(minutes=5)
LARGEST = 400_000  # characters of a document; the baseline has 43,000
PROVE = "protocols.prove"


class NotADraft(Refused):
    """Only a draft is edited, proven, adopted and discarded."""


class NotProven(Refused):
    """Nothing shows that these rules decide without holes and contradictions."""


class SamePerson(Refused):
    """Author and adopter are two people."""


class NotTheAuthor(Refused):
    """A draft is its author's; others start their own from it."""


class Stale(Refused):
    """The document is no longer the one that the person was looking at."""


@transaction.atomic
def draft(
    *, agency: Agency | None, document: str, by: Person, at: datetime, based_on: ProtocolVersion | None = None
) -> ProtocolVersion:
    """Keeps a protocol document as the agency's draft, and has it proven. Raises Refused naming every fault."""
    if by.agency_id and (agency is None or by.agency_id != agency.pk):
        raise NotAllowed("another agency's protocol is not yours to draft")
    require(by, "draft_protocol")
    read = _read(document)
    version = ProtocolVersion(
        agency=agency,
        protocol_id=read.id,
        version=read.version,
        digest=digest(read.document),
        document=document,
        author=by,
        drafted_at=at,
        based_on=based_on,
    )
    if not is_proven(version):  # the shipped baseline is, to the letter
        version.proof = proofs.waiting(version.digest, at)
    checked(version).save(force_insert=True)
    _log(by, at, version, "draft_protocol", {"based_on": based_on.digest if based_on else None})
    if version.proof:
        enqueue(PROVE, str(version.pk), version.digest)
    return version


def start_draft(
    *, agency: Agency, base: ProtocolVersion | None, name: str, version: str, title: str, by: Person, at: datetime
) -> ProtocolVersion:
    """A draft that says what `base` (None: the shipped baseline) says, under a name and version of its own."""
    if base is not None and base.agency_id != agency.pk:
        raise NotAllowed("another agency's protocol is not yours to start from")
    given = json.loads(_as_stored(base)) if base else dict(baseline().document)
    heading = {"id": name, "version": version, "title": title, "author": by.name}
    document = given | heading | {"effective_from": at.date().isoformat()}
    return draft(agency=agency, document=_written(document), by=by, at=at, based_on=base)


@transaction.atomic
def edit_draft(
    *,
    version: ProtocolVersion,
    place: Place,
    value: Any,
    source: Mapping[str, str] | None,
    by: Person,
    at: datetime,
    seen: str | None = None,
) -> ProtocolVersion:
    """Gives the draft a new document in which the entry at `place` is `value` with `source`; None removes it.

    The new document is proven anew by a job. Refused with the faults that the protocol's reader finds, or when the
    document is not the one `seen`.
    """
    version = _own_draft(version, by, seen)
    former, before = version.digest, json.loads(_as_stored(version))
    try:
        document = with_entry(before, place, value, source)
    except EditRefused as fault:
        raise Refused((fault.place, fault.given, fault.accepted)) from fault
    read = _read(_written(document))
    version.document, version.digest = _written(document), digest(read.document)
    if version.digest == former:
        return version
    version.protocol_id, version.version = read.id, read.version
    version.proof = proofs.waiting(version.digest, at)
    checked(version).save()
    change = {"from": former, "place": str(place), "was": entry_at(before, place), "is": entry_at(document, place)}
    _log(by, at, version, "edit_protocol", change)
    enqueue(PROVE, str(version.pk), version.digest)
    return version


@transaction.atomic
def discard_draft(*, version: ProtocolVersion, by: Person, at: datetime) -> None:
    """Throws the author's own draft away; the ledger keeps that it was there."""
    version = _own_draft(version, by, None)
    _log(by, at, version, "discard_protocol", {"document": version.document})
    try:
        version.delete()
    except ProtectedError as fault:
        raise Refused(("version", str(version), "a draft from which no other version was started")) from fault


@transaction.atomic
def ask_for_proof(*, version: ProtocolVersion, by: Person, at: datetime) -> ProtocolVersion:
    """Has the draft's document proven by a job; until it is done the draft counts as not proven."""
    version = _draft(version, by, "draft_protocol")
    version.proof = proofs.waiting(version.digest, at)
    version.save(update_fields=["proof"])
    _log(by, at, version, "ask_for_proof")
    enqueue(PROVE, str(version.pk), version.digest)
    return version


@transaction.atomic
def keep_proof(*, version: UUID, proof: Mapping[str, Any], at: datetime) -> bool:
    """Keeps what the proof found, unless the draft has changed or gone since; returns whether it was kept."""
    found = (
        ProtocolVersion.objects.select_for_update()
        .filter(pk=version, state=ProtocolVersion.State.DRAFT, digest=proof["digest"])
        .first()
    )
    if found is None:
        return False
    found.proof = dict(proof)
    found.save(update_fields=["proof"])
    verdicts = {each["letter"]: each["verdict"] for each in proof.get("properties", [])}
    append(
        by=SYSTEM,
        by_name="proof",
        at=at,
        agency_id=found.agency_id,
        verb="prove_protocol",
        subject_type=found._meta.label_lower,
        subject_id=str(found.pk),
        detail={"digest": found.digest, "engine": proof["engine"], "holds": proof["holds"], "properties": verdicts},
    )
    return True


@transaction.atomic
def adopt(
    *,
    version: ProtocolVersion,
    by: Person,
    at: datetime,
    reason: str,
    effective_from: datetime | None = None,
    seen: str | None = None,
) -> ProtocolVersion:
    """Puts a draft in force, from now or a later time. The version in force until then is superseded.

    `seen` is the digest that stood before the adopter's eyes.
    """
    version = _draft(version, by, "adopt_protocol")
    start = effective_from or at
    _check_adoption(version, by, at, start, seen)
    if not reason.strip():
        raise Refused(("reason", reason, "why this version is adopted, in words"))
    for former in ProtocolVersion.objects.filter(agency=version.agency_id, state=ProtocolVersion.State.ADOPTED):
        former.state = ProtocolVersion.State.SUPERSEDED
        former.save(update_fields=["state"])
        _log(by, at, former, "supersede_protocol")
    version.state, version.adopted_by, version.adopted_at = ProtocolVersion.State.ADOPTED, by, at
    version.effective_from, version.reason = start, reason.strip()
    version.save()
    _log(by, at, version, "adopt_protocol", {"reason": version.reason})
    return version


def is_proven(version: ProtocolVersion) -> bool:
    """The shipped baseline, to the letter, or a version whose own proof result is attached and holds."""
    return version.digest == digest(baseline().document) or proofs.stands(version.proof, version.digest)


def _read(document: str) -> Protocol:
    if len(document) > LARGEST:
        raise Refused(("document", f"{len(document)} characters", f"at most {LARGEST}"))
    try:
        return read_protocol(document)
    except ProtocolRefused as fault:
        raise Refused(*(("document." + place, given, accepted) for place, given, accepted in fault.errors)) from fault


def _as_stored(version: ProtocolVersion) -> str:
    """The document as it was drafted; nothing is edited, started or adopted from another."""
    try:
        return version.text()
    except NotAsStored as fault:
        raise Refused(("document", str(fault), "the document as it was drafted")) from fault


def _written(document: Mapping[str, Any]) -> str:
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


def _draft(version: ProtocolVersion, by: Person, permission: str) -> ProtocolVersion:
    """The draft, locked until the transaction ends."""
    if by.agency_id != version.agency_id:
        raise NotAllowed("another agency's protocol is not yours")
    require(by, permission)
    version = ProtocolVersion.objects.select_for_update().get(pk=version.pk)
    if version.state != ProtocolVersion.State.DRAFT:
        raise NotADraft(("state", version.get_state_display(), "a draft"))
    return version


def _own_draft(version: ProtocolVersion, by: Person, seen: str | None) -> ProtocolVersion:
    version = _draft(version, by, "draft_protocol")
    if by.pk != version.author_id:
        raise NotTheAuthor(("author", by.name, f"{version.author.name}; start a draft of your own from this one"))
    _check_seen(version, seen)
    return version


def _check_seen(version: ProtocolVersion, seen: str | None) -> None:
    if seen is not None and seen != version.digest:
        raise Stale(("digest", seen, f"{version.digest}: the draft has changed since you opened it; look again"))


def _check_adoption(version: ProtocolVersion, by: Person, at: datetime, start: datetime, seen: str | None) -> None:
    if by.pk == version.author_id:
        raise SamePerson(("adopted_by", by.name, f"somebody other than the author, {version.author.name}"))
    _check_seen(version, seen)
    _as_stored(version)
    if not is_proven(version):
        raise NotProven(
            (
                "proof",
                proofs.state_words(version.proof, version.digest),
                "the shipped baseline unchanged, or a version with a proof that it has no hole and no contradiction",
            )
        )
    if start < at - CLOCK_TOLERANCE:
        raise Refused(("effective_from", start.isoformat(), "now or later: what was decided stays decided"))


def _log(by: Person, at: datetime, version: ProtocolVersion, verb: str, more: Mapping[str, Any] | None = None) -> None:
    start = version.effective_from.isoformat() if version.effective_from else None
    stands = proofs.stands(version.proof, version.digest)
    detail = {
        "id": version.protocol_id,
        "version": version.version,
        "digest": version.digest,
        "effective_from": start,
        "proven": "baseline" if version.proof is None and is_proven(version) else stands,
        **(more or {}),
    }
    enter(by=by, at=at, agency_id=version.agency_id, verb=verb, subject=version, detail=detail)
