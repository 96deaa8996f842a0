"""A past operation as a signed record: what the tablet would have built and sent."""

import base64
import json
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from opsrisk.agencies.models import Person
from opsrisk.agencies.signing_code import public_key
from opsrisk.assessment.assess import assess
from opsrisk.assessment.plan import plan_of
from opsrisk.assessment.planning.inputs import read_plan_inputs
from opsrisk.assessment.record import canonical, digest
from opsrisk.assessment.situation import Situation, read_situation
from opsrisk.engine.inputs import DECISIONS
from opsrisk.engine.parts import Protocol
from opsrisk.review.demo.draw import PastOperation

NAMES = UUID("3c0a4d1e-90b7-4a6e-8f55-2f6f1f0f6d11")  # every id of the county follows from its name
REASONS = (
    "Water dropped since the reading; measured again by the tender.",
    "Line and standby doubled, agreed with the incident commander.",
    "Target in sight from the bank, one diver for two minutes.",
)
Keys = Mapping[Any, Ed25519PrivateKey]


def build(
    past: PastOperation,
    protocol: Protocol,
    site: UUID,
    people: Mapping[str, Person],
    inputs: Mapping[str, Any] | None = None,
) -> dict[str, Any]:
    """The record of `past` with the engine's own answer, the supervisor's judgement and what was chosen; with plan
    inputs also the plan."""
    situation = read_situation(json.dumps(past.situation))
    decision = assess(situation, protocol)
    own, chosen = _judgement(decision, past), _chosen(decision, past, people)
    made = situation.assessed_at + timedelta(minutes=past.chance.randrange(2, 9))
    name = f"{past.called_at.isoformat()} {past.title} {past.site}"
    plan = {"plan": _plan(situation, inputs, protocol)} if inputs else {}
    return plan | {
        "format": "opsrisk.record/1",
        "id": str(uuid5(NAMES, f"record {name}")),
        "operation": {
            "id": str(uuid5(NAMES, f"operation {name}")),
            "title": past.title,
            "site": str(site),
            "place": past.site,
        },
        "revision": 1,
        "previous": None,
        "situation": situation.document,
        "own_judgement": {"decision": own, "at": situation.assessed_at.isoformat(), "note": ""},
        "decision": decision,
        "controls_ticked": [_tick(control["id"], made, past) for control in decision["controls"]],
        "chosen": chosen,
        "brief": {**past.brief, "read_backs": []},
        "made_at": made.isoformat(),
        "device": {"id": "tarrow-tablet-1", "client_version": "1.0.0", "offset_s": 0},
    }


def _plan(situation: Situation, inputs: Mapping[str, Any], protocol: Protocol) -> dict[str, Any]:
    read = read_plan_inputs(inputs)
    return {"inputs": dict(inputs), "answer": plan_of(situation, read, protocol)}


def _judgement(decision: Mapping[str, Any], past: PastOperation) -> str:
    """What the supervisor thought before the answer was shown: often the same, sometimes a step off."""
    place = DECISIONS.index(decision["decision"])
    step = past.chance.choices((0, -1, 1, -2), (66, 19, 10, 5))[0]
    return DECISIONS[min(max(place + step, 0), len(DECISIONS) - 1)]


def _chosen(decision: Mapping[str, Any], past: PastOperation, people: Mapping[str, Person]) -> dict[str, Any]:
    """Mostly the answer; now and then more caution, rarely less, with a reason and a second person."""
    place = DECISIONS.index(decision["decision"])
    roll = past.chance.random()
    absolute = any(stop["absolute"] for stop in decision["stops"])
    if roll < 0.06 and place and not absolute:
        second = people["chief@tarrow.example"]
        reason = past.chance.choice(REASONS)
        return {"decision": DECISIONS[min(place - 1, 1)], "reason": reason, "second_person": str(second.pk)}
    if roll > 0.93:
        place = DECISIONS.index("hold")
    return {"decision": DECISIONS[place], "reason": "", "second_person": None}


def _tick(control: str, made: datetime, past: PastOperation) -> dict[str, Any]:
    ticked = past.chance.random() < 0.94
    return {"id": control, "ticked": ticked, "at": made.isoformat() if ticked else None}


def sign(record: Mapping[str, Any], signers: list[tuple[Person, str]], keys: Keys, at: datetime) -> bytes:
    """The body that a tablet posts: the record with each signer's signature and its meaning."""
    signed = digest(record)
    signatures = []
    for place, (person, meaning) in enumerate(signers):
        act = {
            "record": signed,
            "person": str(person.pk),
            "name": person.name,
            "role": person.role,
            "meaning": meaning,
            "at": (at + timedelta(seconds=40 * place)).isoformat(),
        }
        key = keys[person.pk]
        seal = {
            "algorithm": "Ed25519",
            "public_key": public_key(key),
            "signature": base64.b64encode(key.sign(canonical(act))).decode(),
        }
        signatures.append(act | seal)
    return canonical({"record": record, "signatures": signatures})
