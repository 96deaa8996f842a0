"""The server's receipt: its own signature over which record it has, with which signatures, since when."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from opsrisk.assessment.record import canonical, digest
from opsrisk.ledger import signing
from opsrisk.operations.models import Assessment, Signature
from opsrisk.operations.records import Signed

# What the server signs, by format; the first did not name the signatures.
OVER = {
    "opsrisk.receipt/1": ("format", "digest", "received_at", "entry"),
    "opsrisk.receipt/2": ("format", "digest", "received_at", "entry", "signatures"),
    "opsrisk.photo_receipt/1": ("format", "id", "manifest", "sha256", "parts", "received_at", "entry"),
}
PRESENT = "opsrisk.receipt/2"


def first_receipt(
    assessment: Assessment,
    signatures: Sequence[Signed],
    differs_in: Sequence[str],
    entry: int,
    warnings: list[dict[str, str]],
) -> str:
    """What the tablet keeps; it throws nothing away before each digest of what it sent stands here."""
    return _countersigned(
        {
            "format": PRESENT,
            "digest": assessment.digest,
            "received_at": assessment.received_at.astimezone(UTC).isoformat(timespec="milliseconds"),
            "entry": entry,
            "signatures": sorted(digest(one.document()) for one in signatures),
            "id": str(assessment.pk),
            "operation": str(assessment.operation_id),
            "revision": assessment.revision,
            "decision": assessment.decision,
            "server_decision": assessment.server_decision,
            "differs": assessment.differs,
            "differs_in": list(differs_in),
            "rival": assessment.rival,
            "warnings": warnings,
            "verified": [{"person": str(one.person), "meaning": one.meaning} for one in signatures],
        }
    )


def photo_receipt(*, photo: str, manifest: str, sha256: str, parts: Sequence[str], at: datetime, entry: int) -> str:
    """Names every digest of a photo: whoever sent it throws nothing away before each of them stands here."""
    when = at.astimezone(UTC).isoformat(timespec="milliseconds")
    named = {"id": photo, "manifest": manifest, "sha256": sha256, "parts": list(parts)}
    return _countersigned({"format": "opsrisk.photo_receipt/1", **named, "received_at": when, "entry": entry})


def present_receipt(assessment: Assessment) -> str:
    """The receipt of this moment: signatures may have come after the record."""
    first: dict[str, Any] = json.loads(assessment.receipt)
    here = list(assessment.signatures.order_by("verified_at", "pk"))
    listed = sorted(digest(signature_document(one)) for one in here)
    if first.get("signatures") == listed:
        return assessment.receipt
    verified = [{"person": str(one.person_id), "meaning": one.meaning} for one in here]
    return _countersigned(first | {"format": PRESENT, "signatures": listed, "verified": verified})


def receipt_holds(receipt: Mapping[str, Any]) -> bool:
    """Whether this server signed that it has the record and the signatures named in `receipt`."""
    made = receipt["countersignature"]
    return signing.verify(canonical(_over(receipt)), signing.Signed(made["key_id"], made["signature"]))


def signature_document(one: Signature) -> dict[str, str]:
    """A stored signature as it was sent."""
    return {
        "record": one.assessment.digest,
        "person": str(one.person_id),
        "name": one.name,
        "role": one.role,
        "meaning": one.meaning,
        "at": one.at_text,
        "algorithm": one.algorithm,
        "public_key": one.public_key,
        "signature": one.signature,
    }


def _over(receipt: Mapping[str, Any]) -> dict[str, Any]:
    return {name: receipt[name] for name in OVER.get(receipt["format"], OVER[PRESENT])}


def _countersigned(receipt: dict[str, Any]) -> str:
    signed = signing.sign(canonical(_over(receipt)))
    whole = receipt | {"countersignature": {"key_id": signed.key_id, "signature": signed.signature}}
    return canonical(whole).decode()
