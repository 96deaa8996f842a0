"""The documents of the API's descriptions that are not rows: record, receipt, situation, decision."""

from typing import Any

from opsrisk.assessment.record_plan import record_plan_schema
from opsrisk.assessment.schemas import decision_schema, protocol_schema, situation_schema

Schema = dict[str, Any]

TEXT: Schema = {"type": "string"}
DIGEST: Schema = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
UUID: Schema = {"type": "string", "format": "uuid"}
MOMENT: Schema = {"type": "string", "format": "date-time"}


def closed(properties: dict[str, Any]) -> Schema:
    return {"type": "object", "additionalProperties": False, "properties": properties, "required": list(properties)}


def plain(schema: Schema) -> Schema:
    """A schema as part of another: without the lines that make it a document of its own."""
    return {name: value for name, value in schema.items() if not name.startswith("$")}


def or_null(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"type": "null"}]}


SITUATION = plain(situation_schema())
DECISION = plain(decision_schema())
PUBLISHED = {"situation": situation_schema, "decision": decision_schema, "protocol": protocol_schema}

SIGNATURE = closed(
    {
        "person": UUID,
        "name": TEXT,
        "role": TEXT,
        "meaning": {"enum": ["decided", "reviewed", "briefed", "overrode"]},
        "at": MOMENT,
        "record": DIGEST,
        "algorithm": {"const": "Ed25519"},
        "public_key": TEXT,
        "signature": TEXT,
    }
)
CHOICE = DECISION["properties"]["decision"]
RECORD = closed(
    {
        "format": {"const": "opsrisk.record/1"},
        "id": UUID,
        "operation": closed({"id": UUID, "title": TEXT, "site": or_null(UUID), "place": TEXT}),
        "revision": {"type": "integer", "minimum": 1, "maximum": 10_000},
        "previous": or_null(DIGEST),
        "situation": {"type": "object", "description": "A document of /schemas/situation.json"},
        "own_judgement": closed({"decision": CHOICE, "at": MOMENT, "note": TEXT}),
        # An older engine's answer is taken too; these are the parts that the server looks up.
        "decision": {
            "type": "object",
            "description": "A document of /schemas/decision.json",
            "properties": {
                "format": {"const": "opsrisk.decision/1"},
                "decision": CHOICE,
                "score": {"type": "integer", "minimum": 0, "maximum": 100},
                "stops": {"type": "array", "items": {"type": "object"}},
                "protocol": {"type": "object", "properties": {"digest": DIGEST}, "required": ["digest"]},
                "valid_until": MOMENT,
            },
            "required": ["format", "decision", "score", "stops", "protocol", "valid_until"],
        },
        "controls_ticked": {
            "type": "array",
            "items": closed({"id": TEXT, "ticked": {"type": "boolean"}, "at": or_null(MOMENT)}),
        },
        "chosen": closed({"decision": CHOICE, "reason": TEXT, "second_person": or_null(UUID)}),
        "brief": {"type": "object"},
        "made_at": MOMENT,
        "device": closed({"id": TEXT, "client_version": TEXT, "offset_s": {"type": ["integer", "string"]}}),
    }
)
# The parts that a record may lack.
RECORD["properties"]["plan"] = record_plan_schema()
RECORD["properties"]["merges"] = {"type": "array", "items": DIGEST, "maxItems": 8, "uniqueItems": True}
RECORD["properties"]["correction"] = closed({"reason": {"type": "string", "minLength": 15, "maxLength": 4000}})
PHOTO = closed(
    {"id": UUID, "sha256": DIGEST, "caption": {"type": "string", "minLength": 1, "maxLength": 200}, "taken_at": MOMENT}
)
RECORD["properties"]["photos"] = {"type": "array", "items": PHOTO, "maxItems": 40}
BODY = closed({"record": RECORD, "signatures": {"type": "array", "items": SIGNATURE, "minItems": 1, "maxItems": 60}})
RECEIPT = closed(
    {
        "format": {"const": "opsrisk.receipt/2"},
        "digest": DIGEST,
        "received_at": MOMENT,
        "entry": {"type": "integer", "minimum": 0},
        "signatures": {"type": "array", "items": DIGEST},  # of each signature, as sent
        "id": UUID,
        "operation": UUID,
        "revision": {"type": "integer", "minimum": 1},
        "decision": CHOICE,
        "server_decision": CHOICE,
        "differs": {"type": "boolean"},
        "differs_in": {"type": "array", "items": TEXT},
        "rival": {"type": "boolean"},
        "warnings": {"type": "array", "items": closed({"id": TEXT, "text": TEXT})},
        "verified": {"type": "array", "items": closed({"person": UUID, "meaning": TEXT})},
        "countersignature": closed({"key_id": TEXT, "signature": TEXT}),
    }
)
