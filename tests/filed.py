"""Assessments filed straight into the database, for tests of what is made from them later."""

from datetime import datetime, timedelta
from uuid import uuid4

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Agency, Person
from opsrisk.assessment.record import canonical, digest
from opsrisk.operations.models import Assessment, Operation, Signature
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.shipped import BASELINE, baseline


def protocol_of(agency: Agency, author: Person, adopter: Person, version: str | None = None) -> ProtocolVersion:
    """The baseline as this agency's protocol; a second `version` supersedes the first."""
    version = version or baseline().version
    found = ProtocolVersion.objects.filter(agency=agency, version=version).first()
    if found:
        return found
    at = datetime.fromisoformat("2026-01-01T00:00:00+00:00")
    state = "superseded" if ProtocolVersion.objects.filter(agency=agency).exists() else "adopted"
    return ProtocolVersion.objects.create(
        agency=agency, protocol_id="baseline", version=version, digest=digest(baseline().document), document=BASELINE.read_text(),
        state=state, author=author, drafted_at=at, adopted_by=adopter, adopted_at=at, effective_from=at,
    )  # fmt: skip


def filed(record, *, agency, by, protocol, site=None, operation=None, second=None, differs=False) -> Assessment:
    """`record` as an assessment that was received and found good."""
    at = datetime.fromisoformat(record["situation"]["assessed_at"])
    record = record | {"id": str(uuid4())}
    operation = operation or Operation.objects.create(
        agency=agency, title=record["operation"]["title"][:200], site=site, place=record["operation"]["place"][:300],
        kind=record["situation"].get("task", {}).get("kind", "recovery"), called_at=at - timedelta(minutes=30),
    )  # fmt: skip
    chosen = record["chosen"].get("decision") or record["decision"]["decision"]
    made = Assessment.objects.create(
        id=record["id"], operation=operation, revision=record["revision"], record=canonical(record).decode(),
        digest=digest(record), situation_digest=digest(record["situation"]), protocol=protocol,
        decision=record["decision"]["decision"], score=record["decision"]["score"],
        own_decision=record["own_judgement"].get("decision", "hold"), chosen_decision=chosen,
        override_reason=record["chosen"].get("reason", "") if chosen != record["decision"]["decision"] else "",
        assessed_at=at, made_by=by, received_by=by, received_at=at + timedelta(minutes=5), override_second=second,
        server_decision=record["decision"]["decision"], server_document="{}", differs=differs,
    )  # fmt: skip
    with transaction.atomic():
        enter(by=by, at=at, agency_id=agency.pk, verb="receive_record", subject=made, detail={"digest": made.digest})
    return made


def signed(assessment: Assessment, person: Person, meaning: str, at: datetime) -> Signature:
    """A row that says a signature verified; the signature itself is not looked at by what is tested here."""
    return Signature.objects.create(
        assessment=assessment, person=person, name=person.name, role=person.role, meaning=meaning, at=at,
        at_text=at.isoformat(), algorithm="Ed25519", public_key="", signature="", verified_at=at + timedelta(seconds=5),
    )  # fmt: skip
