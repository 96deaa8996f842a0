"""The one way in for a tablet's record, and the closing of an operation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import Refused, checked
from opsrisk.assessment.assess import assess
from opsrisk.assessment.record import canonical, digest
from opsrisk.assessment.record_plan import plan_differences
from opsrisk.operations.checks import check_override, check_signatures, differences, less_cautious
from opsrisk.operations.countersigned import first_receipt, present_receipt
from opsrisk.operations.models import Assessment, Operation, Receipt, Signature
from opsrisk.operations.opened import Named, open_operation
from opsrisk.operations.receipts import Answer, KeyReused, claim
from opsrisk.operations.records import Record, Signed, read_body
from opsrisk.protocols.models import ProtocolVersion, protocol_in_force

MERGEABLE = "the digest of a record of this operation received before: send that one first"
CREATED, SEEN_BEFORE = 201, 200


class AlreadyClosed(Refused):
    """Closing twice would replace the outcome."""


@dataclass(frozen=True)
class Examined:
    """A record that may be stored, and what the server found out about it."""

    record: Record
    signatures: Sequence[Signed]
    signers: Sequence[Person]
    protocol: ProtocolVersion
    server: Mapping[str, Any]
    differs_in: Sequence[str]
    plan_differs_in: Sequence[str]


def receive_record(*, body: bytes, key: str, by: Person, at: datetime) -> Answer:
    """Stores a signed record once, decides again, and answers with a countersigned receipt.

    Raises KeyMissing, StillRunning, KeyReused or Refused; a refused record is not stored and its key is free again.
    """
    require(by, "send_record")
    if by.agency_id is None:
        raise NotAllowed("send_record: only people of an agency")
    claimed = claim(key=key, body=body, by=by, at=at)
    if isinstance(claimed, Answer):
        return claimed
    try:
        return _answer(claimed, _examine(body, by, at), by, at)
    except BaseException:
        claimed.delete()
        raise


@transaction.atomic
def close_operation(*, operation: Operation, outcome: str, by: Person, at: datetime) -> Operation:
    """Ends an operation with what came of it. Records that arrive later are still taken."""
    if by.agency_id != operation.agency_id:
        raise NotAllowed("another agency's operation is not yours to close")
    require(by, "close_operation")
    operation = Operation.objects.select_for_update().get(pk=operation.pk)
    if operation.closed_at:
        raise AlreadyClosed(("closed_at", operation.closed_at, "an operation that is still open"))
    if not outcome.strip():
        raise Refused(("outcome", outcome, "what came of it, in words"))
    operation.closed_at, operation.outcome = at, outcome.strip()
    checked(operation).save()
    enter(
        by=by,
        at=at,
        agency_id=by.agency_id,
        verb="close_operation",
        subject=operation,
        detail={"outcome": outcome.strip()},
    )
    return operation


def _examine(body: bytes, by: Person, at: datetime) -> Examined:
    """Everything that needs no write, so that the write that follows is short."""
    record, signatures = read_body(body)
    people = {person.pk: person for person in Person.objects.for_person(by).prefetch_related("former_keys")}
    signers = check_signatures(record, signatures, people, at)
    protocol = _protocol(record, by)
    rules = protocol.rules()
    server = assess(record.situation, rules)
    check_override(record, server, signatures, people)
    apart = plan_differences(record.plan, record.situation, rules) if record.plan else []
    return Examined(record, signatures, signers, protocol, server, differences(record.decision, server), apart)


def _protocol(record: Record, by: Person) -> ProtocolVersion:
    """The version that the record was decided under, adopted at some time by this agency."""
    wanted = record.decision["protocol"]["digest"]
    adopted = ProtocolVersion.objects.for_person(by).exclude(state=ProtocolVersion.State.DRAFT)
    found = adopted.filter(digest=wanted).order_by("effective_from").first()
    if found is None:
        raise Refused(
            ("record.decision.protocol.digest", wanted, "the digest of a protocol that your agency has adopted")
        )
    return found


@transaction.atomic
def _answer(receipt: Receipt, examined: Examined, by: Person, at: datetime) -> Answer:
    """Stores the record, its ledger entry and the answer together, or none of them."""
    operation = _operation(examined.record, by, at)
    stored = Assessment.objects.filter(pk=examined.record.id).first()
    if stored is None:
        stored = _store(examined, operation, by, at)
        status = CREATED
    elif stored.digest != examined.record.digest or stored.operation_id != operation.pk:
        raise KeyReused(("record.id", examined.record.id, "a new id: this one belongs to another record"))
    else:
        status = SEEN_BEFORE
        _add_signatures(examined, stored, by, at)
    receipt.status, receipt.response = status, present_receipt(stored)
    receipt.save(update_fields=["status", "response"])
    return Answer(status, receipt.response, replayed=False)


def _add_signatures(examined: Examined, stored: Assessment, by: Person, at: datetime) -> None:
    """Signatures that were given after the record had been sent; those that are here already stay as they are."""
    here = set(stored.signatures.values_list("person_id", "meaning"))
    pairs = zip(examined.signers, examined.signatures, strict=True)
    fresh = [(person, one) for person, one in pairs if (person.pk, one.meaning) not in here]
    if not fresh:
        return
    detail = {"digest": stored.digest, "signatures": [_signed(one) for _, one in fresh]}
    enter(by=by, at=at, agency_id=by.agency_id, verb="receive_signatures", subject=stored, detail=detail)
    _store_signatures(fresh, stored, at)


def _signed(one: Signed) -> dict[str, str]:
    return {"person": str(one.person), "meaning": one.meaning, "at": one.at_text}


def _operation(record: Record, by: Person, at: datetime) -> Operation:
    """The record's operation, opened by its first record; its row is the lock of all records of one operation."""
    kind = record.situation.choice("task.kind") or Operation.Kind.UNKNOWN
    called_at = record.situation.assessed_at
    named = Named(record.operation, record.title, record.site, record.place)
    operation = open_operation(named, kind=kind, called_at=called_at, by=by, at=at, field="record.operation")
    if operation.kind == Operation.Kind.UNKNOWN and kind != operation.kind and not operation.assessments.exists():
        # A line of its log came first, which does not say what the operation is.
        # Somebody may have closed it meanwhile: the call stays before that.
        operation.kind, operation.called_at = kind, min(called_at, operation.closed_at or at, at)
        operation.save(update_fields=["kind", "called_at"])
    return operation


def _store(examined: Examined, operation: Operation, by: Person, at: datetime) -> Assessment:
    record = examined.record
    previous, merged = _previous(record, operation), _merged(record, operation)
    rival = operation.assessments.exists() if previous is None else previous.superseded_by_id is not None
    assessment = _assessment(examined, operation, by, at)
    assessment.rival = rival
    warnings = _warnings(examined, assessment)
    entry = enter(
        by=by, at=at, agency_id=by.agency_id, verb="receive_record", subject=assessment, detail=_detail(examined, rival)
    )
    assessment.receipt = first_receipt(assessment, examined.signatures, examined.differs_in, entry.index, warnings)
    assessment.save(force_insert=True)
    _store_signatures(zip(examined.signers, examined.signatures, strict=True), assessment, at)
    for replaced in (*([previous] if previous else []), *merged):
        if replaced.superseded_by_id is None:
            replaced.superseded_by = assessment
            replaced.save(update_fields=["superseded_by"])
    return assessment


def _merged(record: Record, operation: Operation) -> list[Assessment]:
    """The revisions signed apart that this one puts together with its previous one."""
    found = {one.digest: one for one in operation.assessments.filter(digest__in=record.merges)}
    missing = [(f"record.merges[{n}]", one, MERGEABLE) for n, one in enumerate(record.merges) if one not in found]
    if missing:
        raise Refused(*missing)
    return [found[one] for one in record.merges if one != record.previous]


def _assessment(examined: Examined, operation: Operation, by: Person, at: datetime) -> Assessment:
    record = examined.record
    signed = zip(examined.signers, examined.signatures, strict=True)
    return Assessment(
        id=record.id,
        operation=operation,
        revision=record.revision,
        previous=record.previous,
        record=canonical(record.document).decode(),
        digest=record.digest,
        situation_digest=digest(record.document["situation"]),
        protocol=examined.protocol,
        decision=record.decision["decision"],
        score=record.decision["score"],
        own_decision=record.own_decision,
        chosen_decision=record.chosen,
        assessed_at=record.situation.assessed_at,
        made_by=next(person for person, one in signed if one.meaning == "decided"),
        received_by=by,
        received_at=at,
        server_decision=examined.server["decision"],
        server_document=canonical(examined.server).decode(),
        differs=bool(examined.differs_in),
        correction=record.correction,
        **_override(record),
    )


def _previous(record: Record, operation: Operation) -> Assessment | None:
    if not record.previous:
        if record.revision != 1:
            raise Refused(("record.previous", None, f"the digest of revision {record.revision - 1}"))
        return None
    previous = operation.assessments.filter(digest=record.previous).first()
    if previous is None:
        raise Refused(
            ("record.previous", record.previous, "the digest of a record received before: send that one first")
        )
    if record.revision != previous.revision + 1:
        raise Refused(("record.revision", record.revision, f"{previous.revision + 1}, one more than the previous"))
    return previous


def _override(record: Record) -> dict[str, Any]:
    if not less_cautious(record.chosen, record.decision["decision"]):
        return {}
    return {"override_reason": record.reason.strip(), "override_second_id": record.second}


def _store_signatures(signed: Iterable[tuple[Person, Signed]], assessment: Assessment, at: datetime) -> None:
    Signature.objects.bulk_create(
        Signature(
            assessment=assessment,
            person=person,
            name=one.name,
            role=one.role,
            meaning=one.meaning,
            at=one.at,
            at_text=one.at_text,
            algorithm="Ed25519",
            public_key=one.public_key,
            signature=one.signature,
            verified_at=at,
        )
        for person, one in signed
    )


def _warnings(examined: Examined, assessment: Assessment) -> list[dict[str, str]]:
    """What a person should look at although the record is stored."""
    record = examined.record
    in_force = protocol_in_force(assessment.operation.agency, record.situation.assessed_at)
    twins = Assessment.objects.filter(operation=assessment.operation, situation_digest=assessment.situation_digest)
    valid_until = datetime.fromisoformat(record.decision["valid_until"])
    late = any(one.meaning == "decided" and one.at > valid_until for one in examined.signatures)
    found = {
        "differs": ("The server decides otherwise: " + ", ".join(examined.differs_in)) if examined.differs_in else "",
        "plan_differs": ("The server plans otherwise: " + ", ".join(examined.plan_differs_in))
        if examined.plan_differs_in
        else "",
        "rival": "Another tablet's revision was here before: both stand until a person decides."
        if assessment.rival
        else "",
        "protocol_not_in_force": ""
        if in_force == examined.protocol
        else f"Decided under {examined.protocol}, which was not in force at that time.",
        "same_content": "The same answers were received under another id." if twins.exists() else "",
        "signed_after_valid_until": "Signed after the decision had ceased to hold." if late else "",
    }
    return [{"id": name, "text": text} for name, text in found.items() if text]


def _detail(examined: Examined, rival: bool) -> dict[str, Any]:
    record = examined.record
    return {
        "digest": record.digest,
        "operation": str(record.operation),
        "revision": record.revision,
        "decision": record.decision["decision"],
        "chosen": record.chosen,
        "server_decision": examined.server["decision"],
        "differs_in": list(examined.differs_in),
        "plan_differs_in": list(examined.plan_differs_in),
        "rival": rival,
        "merges": list(record.merges),
        "correction": record.correction,
        "override": {"reason": record.reason, "second": str(record.second)} if _override(record) else None,
        "signatures": [_signed(one) for one in examined.signatures],
    }
