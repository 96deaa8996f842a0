"""The content of a sheet from its row: the signed record, its signatures, and the names of the agency's people."""

import json
import logging
from typing import Any

from django.conf import settings
from django.urls import reverse

from opsrisk.agencies.models import Person
from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.record import canonical
from opsrisk.assessment.words import Clock, short_code
from opsrisk.briefing.languages import language
from opsrisk.briefing.models import Sheet as SheetRow
from opsrisk.briefing.pdf import Inside
from opsrisk.briefing.sheet.blocks import Sheet
from opsrisk.briefing.sheet.compose import compose
from opsrisk.briefing.sheet.given import Given
from opsrisk.briefing.verifier.verify_operation import SIGNATURES
from opsrisk.ledger import signing
from opsrisk.operations.briefed import state_of
from opsrisk.operations.countersigned import present_receipt, signature_document
from opsrisk.operations.models import Assessment
from opsrisk.protocols.models import NotAsStored

log = logging.getLogger(__name__)


def content(row: SheetRow, *, squeeze: float = 0.0) -> Sheet:
    """What stands on the sheet `row`, on its paper and in its language."""
    decimal = row.assessment.operation.agency.decimal
    return compose(
        given(row.assessment),
        cautions=CAUTIONS,
        paper=row.paper,
        squeeze=squeeze,
        language=language(row.language, decimal),
    )


def given(assessment: Assessment) -> Given:
    """The record exactly as signed, with the signatures that verified."""
    record = json.loads(assessment.record)
    agency = assessment.operation.agency
    received = Clock.of(record["situation"].get("assessed_at")).stamp(assessment.received_at.isoformat())
    return Given(
        record=record,
        digest=assessment.digest,
        signatures=signatures(assessment),
        names={str(pk): name for pk, name in Person.objects.filter(agency=agency).values_list("pk", "name")},
        agency=agency.name,
        state=f"Received by the server {received}",
        address=address(assessment.digest),
        briefing=state_of(assessment),
        void=void(assessment),
    )


def void(assessment: Assessment) -> dict[str, str] | None:
    """When, by whom and why the record was declared void."""
    if assessment.voided_at is None or assessment.voided_by is None:
        return None
    at = assessment.voided_at.isoformat()
    return {"at": at, "by": assessment.voided_by.name, "reason": assessment.void_reason}


def signatures(assessment: Assessment) -> list[dict[str, Any]]:
    """The verified signatures in the order in which they were given."""
    rows = assessment.signatures.order_by("at", "name")
    return [
        {"person": str(s.person_id), "name": s.name, "role": s.role, "meaning": s.meaning, "at": s.at_text}
        for s in rows
    ]


def proofs(assessment: Assessment) -> list[Inside]:
    """What else lies inside the file: the rules it was decided under, and what shows who signed, without the server."""
    rows = assessment.signatures.select_related("assessment").order_by("at", "pk")
    given = {
        "format": SIGNATURES,
        "signatures": [signature_document(one) for one in rows],
        "receipt": json.loads(present_receipt(assessment)) if assessment.receipt else None,
        "server_keys": signing.public_keys(),
        "handovers": signing.handovers(),
    }
    signed = Inside("signatures.json", canonical(given), "Signatures and the server's receipt", "Supplement")
    try:
        rules = canonical(assessment.protocol.rules().document)
    except NotAsStored:
        # The crew needs the sheet of a good record all the same; the file then lacks what it cannot vouch for.
        log.exception("sheet of %s: the protocol was altered and is not put inside", assessment.pk)
        return [signed]
    return [Inside("protocol.json", rules, "The protocol that it was decided under", "Supplement"), signed]


def address(digest: str) -> str:
    """Where anybody can ask whether the sheet with this digest is still the current one."""
    return f"{settings.ADDRESS}{reverse('public_sheet', args=[short_code(digest)])}"
