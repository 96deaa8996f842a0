"""A stored assessment as the desk shows it and as an export carries it: read from the record, nothing worked out."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from opsrisk.agencies.models import Person
from opsrisk.assessment import commander
from opsrisk.assessment.plan import saved_words
from opsrisk.assessment.record import canonical
from opsrisk.assessment.told import ITEM_WORDS
from opsrisk.assessment.words import POSITION_NAMES, plain
from opsrisk.ledger import signing
from opsrisk.ledger.models import Entry
from opsrisk.ledger.proofs import inclusion
from opsrisk.operations.briefed import state_of
from opsrisk.operations.checks import less_cautious
from opsrisk.operations.countersigned import present_receipt, signature_document
from opsrisk.operations.in_words import in_words
from opsrisk.operations.models import Assessment, Decision

EVIDENCE = "opsrisk.evidence/1"
LABELS = dict(Decision.choices)


def shown(assessment: Assessment) -> dict[str, Any]:
    """What the page needs; every value stands in the record, the signatures or the receipt."""
    record = json.loads(assessment.record)
    ticked = {tick["id"]: tick for tick in record["controls_ticked"]}
    signatures = list(assessment.signatures.order_by("at", "pk"))
    told = in_words(record, {**_roster(assessment), **{str(one.person_id): one.name for one in signatures}})
    stamp = told["clock"].stamp
    receipt = json.loads(assessment.receipt)
    return {
        "record": record,
        "answer": record["decision"],
        "saved": saved_words(record["plan"]["answer"]) if "plan" in record else "",
        "words": {
            name: LABELS[getattr(assessment, name)] for name in ("own_decision", "chosen_decision", "server_decision")
        },
        "told": told,
        "times": {
            "own": stamp(record["own_judgement"]["at"]),
            "until": stamp(record["decision"]["valid_until"]),
            "received": stamp(receipt["received_at"]),
        },
        "controls": [
            control | {"who": _owner(control), "ticked_at": _ticked(ticked.get(control["id"]), stamp)}
            for control in record["decision"].get("controls", [])
        ],
        "signatures": [(one, stamp(one.at_text), stamp(one.verified_at.isoformat())) for one in signatures],
        "receipt": receipt,
        "briefing": _briefing(assessment, stamp),
        "overridden": less_cautious(assessment.chosen_decision, assessment.decision),
        "record_text": json.dumps(record, indent=2, ensure_ascii=False),
    }


def _roster(assessment: Assessment) -> dict[str, str]:
    """Names of those who stand in the record by number alone: today's roster, a signed name comes before it."""
    people = Person.objects.filter(agency=assessment.operation.agency_id)
    return {str(pk): name for pk, name in people.values_list("pk", "name")}


def _briefing(assessment: Assessment, stamp: Callable[[Any], str]) -> dict[str, Any]:
    """The state of the briefing with its times on the clock of the page."""
    state = state_of(assessment)
    loops = [loop | _told(loop, ITEM_WORDS, stamp) for loop in state["loops"]]
    goes_to = state["commander"]
    held = [one | {"began": stamp(one["began_at"])} for one in state["rounds"]]
    commanded = goes_to | _told(goes_to, commander.ITEM_WORDS, stamp) if goes_to else None
    return state | {"loops": loops, "rounds": held, "commander": commanded}


def _told(loop: dict[str, Any], items: dict[str, str], stamp: Callable[[Any], str]) -> dict[str, Any]:
    """What was said, each item beside what was to be said, and when."""
    said = [
        {"label": label, "told": loop["told"][item], "words": loop["said"].get(item, ""),
         "right": loop["right"].get(item)}
        for item, label in items.items()
    ]  # fmt: skip
    return {"when": stamp(loop["at"]) if loop["at"] else "", "said": said}


def _owner(control: dict[str, Any]) -> str:
    owner = control.get("owner", "")
    return POSITION_NAMES.get(owner, plain(owner)) if owner else ""


def _ticked(tick: dict[str, Any] | None, stamp: Callable[[Any], str]) -> str:
    return stamp(tick["at"]) if tick and tick["ticked"] else ""


def _void(assessment: Assessment) -> dict[str, str] | None:
    """By whom, when and why the record was declared void."""
    if assessment.voided_at is None:
        return None
    by = str(assessment.voided_by_id)
    return {"by": by, "at": assessment.voided_at.isoformat(), "reason": assessment.void_reason}


def evidence(assessment: Assessment) -> dict[str, Any]:
    """One bundle that can be verified without this server: record, signatures, receipt, entry, proof, public keys.

    Sealed as a whole, since the receipt's signature covers only what the tablet relies on.
    """
    receipt = json.loads(present_receipt(assessment))
    entry = Entry.objects.get(index=receipt["entry"])
    found: dict[str, Any] = {
        "format": EVIDENCE,
        "record": json.loads(assessment.record),
        "digest": assessment.digest,
        "signatures": [signature_document(one) for one in assessment.signatures.order_by("at", "pk")],
        "receipt": receipt,
        "void": _void(assessment),
        "ledger": inclusion(entry),
        "server_keys": signing.public_keys(),
        "handovers": signing.handovers(),
    }
    sealed = signing.sign(canonical(found))
    return found | {"seal": {"key_id": sealed.key_id, "signature": sealed.signature}}
