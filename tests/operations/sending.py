"""Records as a tablet would make, sign and send them."""

import base64
import copy
import json
from datetime import datetime, timedelta
from functools import cache
from typing import Any
from uuid import UUID, uuid5

import pytest

from opsrisk.agencies.models import Person
from opsrisk.assessment.assess import assess
from opsrisk.assessment.plan import plan_of
from opsrisk.assessment.planning.inputs import read_plan_inputs
from opsrisk.assessment.record import canonical, digest
from opsrisk.assessment.situation import read_situation
from opsrisk.operations.actions import receive_record
from opsrisk.operations.models import Assessment
from opsrisk.operations.receipts import Answer
from opsrisk.protocols import actions as protocols
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.protocols.shipped import BASELINE, baseline
from tests.cast import NAMES, NOON, Cast, key_of, public_key_of

ASSESSED = NOON + timedelta(hours=2)
RECEIVED = ASSESSED + timedelta(hours=1)
CALM: dict[str, Any] = {
    "format": "opsrisk.situation/1",
    "assessed_at": ASSESSED.isoformat(),
    "task": {"kind": "training", "submerged_at": None, "target": "not_needed"},
    "site": {"water": "fresh"},
    "readings": {
        name: {"value": value, "unit": unit, "how": "measured", "at": ASSESSED.isoformat()}
        for name, value, unit in (
            ("current", "0", "kn"),
            ("visibility", "30", "ft"),
            ("depth", "18", "ft"),
            ("water_temperature", "19", "C"),
            ("air_temperature", "20", "C"),
            ("wind_speed", "4", "kn"),
            ("wave_height", "0", "m"),
            ("daylight_left", "300", "min"),
        )
    },
    "hazards": {
        "entanglement": "none",
        "overhead": "open",
        "pressure_difference": "none",
        "contamination": "none",
        "vessel_traffic": "none",
        "lightning": "no",
        "ice_cover": "none",
    },
    "dive": {
        "breathing": "surface_supplied",
        "line": "tended",
        "voice": "yes",
        "kit_checked": "yes",
        "recall_signal": "yes",
        "plan_unchanged": "yes",
        "bottom_time": {"value": "20", "unit": "min"},
    },
    "positions": {
        name: {"filled": "yes", "qualified": "yes", "ready": "yes", "sole_duty": "yes"}
        for name in ("supervisor", "diver", "standby_diver", "diver_tender", "standby_tender", "medic")
    },
    "support": {
        "emergency_plan": "yes",
        "care_minutes": {"value": "12", "unit": "min"},
        "chamber_minutes": {"value": "60", "unit": "min"},
    },
    "vehicle": None,
}


def situation(**changes: Any) -> dict[str, Any]:
    """The calm training; `hazards__lightning="yes"` changes one entry."""
    made = copy.deepcopy(CALM)
    for path, value in changes.items():
        *parents, name = path.split("__")
        at = made
        for parent in parents:
            at = at[parent]
        at[name] = value
    return made


@cache
def _decided(text: str) -> str:
    return json.dumps(assess(read_situation(text), baseline()))


def decision(of: dict[str, Any]) -> dict[str, Any]:
    return json.loads(_decided(canonical(of).decode()))


def record(cast: Cast, of: dict[str, Any] | None = None, *, number: int = 1, **changes: Any) -> dict[str, Any]:
    """Record number `number` of one operation; `changes` replace whole top-level fields."""
    of = of or situation()
    answer = decision(of)
    made = {
        "format": "opsrisk.record/1",
        "id": str(uuid5(NAMES, f"record {number}")),
        "operation": {
            "id": str(uuid5(NAMES, "operation")),
            "title": "Training at the quarry basin",
            "site": str(cast.site.pk),
            "place": "Quarry basin, north steps",
        },
        "revision": 1,
        "previous": None,
        "situation": of,
        "own_judgement": {"decision": "divers", "at": ASSESSED.isoformat(), "note": ""},
        "decision": answer,
        "controls_ticked": [
            {"id": one["id"], "ticked": True, "at": ASSESSED.isoformat()} for one in answer["controls"]
        ],
        "chosen": {"decision": answer["decision"], "reason": "", "second_person": None},
        "brief": {"task": "Line search along the ledge", "read_backs": []},
        "made_at": ASSESSED.isoformat(),
        "device": {"id": "tablet 1", "client_version": "1", "offset_s": 0},
    }
    return made | changes


def planned(of: dict[str, Any], inputs: dict[str, Any]) -> dict[str, Any]:
    """The plan as a tablet puts it into the record."""
    return {"inputs": inputs, "answer": plan_of(read_situation(json.dumps(of)), read_plan_inputs(inputs), baseline())}


def sign(made: dict[str, Any], person: Person, meaning: str = "decided", at: datetime = ASSESSED) -> dict[str, str]:
    act = {
        "record": digest(made),
        "person": str(person.pk),
        "name": person.name,
        "role": person.role,
        "meaning": meaning,
        "at": at.isoformat(),
    }
    signature = base64.b64encode(key_of(person).sign(canonical(act))).decode()
    return act | {"algorithm": "Ed25519", "public_key": public_key_of(person), "signature": signature}


def body(made: dict[str, Any], *signatures: dict[str, str]) -> bytes:
    return canonical({"record": made, "signatures": list(signatures)})


def signed(cast: Cast, of: dict[str, Any] | None = None, **changes: Any) -> bytes:
    """A body signed by the supervisor alone."""
    made = record(cast, of, **changes)
    return body(made, sign(made, cast.supervisor))


def send(cast: Cast, content: bytes, *, key: str = "k1", by: Person | None = None, at: datetime = RECEIVED) -> Answer:
    return receive_record(body=content, key=key, by=by or cast.supervisor, at=at)


def received(cast: Cast, of: dict[str, Any] | None = None, **changes: Any) -> Assessment:
    """One stored assessment, through the one way in."""
    content = signed(cast, of, **changes)
    answer = json.loads(send(cast, content, key=digest(json.loads(content))).response)
    return Assessment.objects.get(pk=UUID(answer["id"]))


def adopt_baseline(cast: Cast) -> ProtocolVersion:
    version = protocols.draft(agency=cast.agency, document=BASELINE.read_text(), by=cast.safety, at=NOON)
    return protocols.adopt(version=version, by=cast.chief, at=NOON, reason="The start")


@pytest.fixture
def crew(cast: Cast) -> Cast:
    """The cast, with the baseline in force."""
    adopt_baseline(cast)
    return cast
