"""A stored assessment as the desk shows it and as an export carries it: read from the record, nothing worked out."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from opsrisk.ledger import signing
from opsrisk.ledger.models import Entry
from opsrisk.ledger.proofs import inclusion
from opsrisk.operations.checks import less_cautious
from opsrisk.operations.models import Assessment, Decision

EVIDENCE = "opsrisk.evidence/1"
LABELS = dict(Decision.choices)


def shown(assessment: Assessment) -> dict[str, Any]:
    """What the page needs; every value stands in the record, the signatures or the receipt."""
    record = json.loads(assessment.record)
    ticked = {tick["id"]: tick for tick in record["controls_ticked"]}
    return {
        "record": record,
        "answer": record["decision"],
        "words": {
            name: LABELS[getattr(assessment, name)] for name in ("own_decision", "chosen_decision", "server_decision")
        },
        "readings": list(_readings(record["situation"])),
        "conditions": list(_conditions(record["situation"])),
        "controls": [
            control | {"tick": ticked.get(control["id"])} for control in record["decision"].get("controls", [])
        ],
        "signatures": assessment.signatures.order_by("at", "pk"),
        "receipt": json.loads(assessment.receipt),
        "overridden": less_cautious(assessment.chosen_decision, assessment.decision),
        "record_text": json.dumps(record, indent=2, ensure_ascii=False),
    }


def evidence(assessment: Assessment) -> dict[str, Any]:
    """One bundle that can be verified without this server: record, signatures, receipt, entry, proof, public keys."""
    receipt = json.loads(assessment.receipt)
    entry = Entry.objects.get(index=receipt["entry"])
    return {
        "format": EVIDENCE,
        "record": json.loads(assessment.record),
        "digest": assessment.digest,
        "signatures": [
            {
                "record": assessment.digest,
                "person": str(one.person_id),
                "name": one.name,
                "role": one.role,
                "meaning": one.meaning,
                "at": one.at_text,
                "algorithm": one.algorithm,
                "public_key": one.public_key,
                "signature": one.signature,
            }
            for one in assessment.signatures.order_by("at", "pk")
        ],
        "receipt": receipt,
        "ledger": inclusion(entry),
        "server_keys": signing.public_keys(),
    }


def _readings(situation: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    for name, given in situation.get("readings", {}).items():
        known = isinstance(given, dict) and given.get("value", "unknown") != "unknown"
        yield {"name": name.replace("_", " "), "known": known, **(given if known else {})}


def _conditions(situation: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Every other answer, as path and text."""
    for section, given in situation.items():
        if section not in {"format", "readings", "people"}:
            yield from _flat(section, given)


def _flat(path: str, given: Any) -> Iterator[tuple[str, str]]:
    if isinstance(given, dict) and set(given) == {"value", "unit"}:
        yield path, f"{given['value']} {given['unit']}"
    elif isinstance(given, dict):
        for name, value in given.items():
            yield from _flat(f"{path}, {name}", value)
    else:
        yield path.replace("_", " "), "none" if given is None else str(given).replace("_", " ")
