"""The JSON Schemas (draft 2020-12) of the situation, decision and protocol documents.

The situation's is made from the same table that reads it, so the two cannot drift. A schema says what a
document may look like; `read_situation` and `read_protocol` check more (bounds in SI, times, cross references)
and are what decides.
"""

from collections.abc import Callable, Mapping
from typing import Any

from opsrisk.assessment.fields import SHAPE, Choice, Group, Measure, Number, People, Text, Texts, Time
from opsrisk.engine.conditions import COMPARISONS
from opsrisk.engine.decide import RULES
from opsrisk.engine.inputs import DECISIONS, FLAGS, INPUTS, POSITIONS
from opsrisk.engine.parts import EFFECTS, SETTINGS

DRAFT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]

DECIMAL: Schema = {"type": "string", "pattern": r"^-?[0-9]{1,12}(\.[0-9]{1,12})?$"}
AMOUNT: Schema = {"anyOf": [{"type": "number"}, DECIMAL]}
MOMENT: Schema = {"type": "string", "format": "date-time"}
UNKNOWN: Schema = {"const": "unknown"}


def situation_schema() -> Schema:
    """The schema of `opsrisk.situation/1`."""
    return {"$schema": DRAFT, "$id": "opsrisk.situation/1", "title": "A situation"} | _schema(SHAPE)


def _schema(shape: Any) -> Schema:
    makers: dict[type, Callable[[Any], Schema]] = {
        Group: _group, Measure: lambda s: _group(s.group), People: _people, Choice: lambda s: {"enum": list(s.values)},
        Number: lambda _: AMOUNT, Time: lambda _: MOMENT, Text: lambda s: {"type": "string", "maxLength": s.longest},
        Texts: lambda s: {"type": "array", "maxItems": s.most, "items": {"type": "string", "maxLength": s.longest}},
    }  # fmt: skip
    found = makers[type(shape)](shape)
    others = [UNKNOWN] if shape.may_be_unknown else []
    others += [{"type": "null"}] if getattr(shape, "nullable", False) else []
    return {"anyOf": [found, *others]} if others else found


def _group(group: Group) -> Schema:
    return _object({name: _schema(shape) for name, shape in group.fields.items()}, group.required)


def _people(people: People) -> Schema:
    return {"type": "array", "maxItems": people.most, "items": _group(people.person)}


def _object(properties: Mapping[str, Any], required: tuple[str, ...] | None = None) -> Schema:
    """A closed object; with `required` left out every property is required."""
    needed = list(properties if required is None else required)
    return {"type": "object", "additionalProperties": False, "properties": dict(properties), "required": needed}


def _list(items: Schema) -> Schema:
    return {"type": "array", "items": items}


TEXT: Schema = {"type": "string"}
WHOLE: Schema = {"type": "integer"}
YES_OR_NO: Schema = {"type": "boolean"}
DIGEST: Schema = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
DECISION: Schema = {"enum": list(DECISIONS)}


def decision_schema() -> Schema:
    """The schema of `opsrisk.decision/1`."""
    fired = _list(
        _object(
            {
                "id": TEXT,
                "effect": {"enum": list(EFFECTS)},
                "text": TEXT,
                "reading": TEXT,
                "limit": TEXT,
                "inputs": _list(TEXT),
                "source": TEXT,
                "absolute": YES_OR_NO,
            }
        )
    )
    flip = _object({"value": TEXT, "beyond": YES_OR_NO, "decision": DECISION})
    margin = {"input": TEXT, "label": TEXT, "now": TEXT, "unit": TEXT, "worse": flip, "better": flip}
    axis = {"input": TEXT, "label": TEXT, "unit": TEXT, "edges": _list(DECIMAL), "known": YES_OR_NO}
    axis |= {"value": DECIMAL, "low": DECIMAL, "high": DECIMAL}
    point = {"factor": TEXT, "label": TEXT, "points": WHOLE, "reading": TEXT, "band": TEXT, "source": TEXT}
    control = {"id": TEXT, "text": TEXT, "owner": {"enum": list(POSITIONS)}, "serves": TEXT, "source": TEXT}
    assumed = {"input": TEXT, "label": TEXT, "why": TEXT, "assumed": TEXT, "waiver": {"type": ["string", "null"]}}
    drawn = _object({"x": _object(axis), "y": _object(axis), "cells": _list(_list(DECISION))})
    properties = {
        "format": {"const": "opsrisk.decision/1"},
        "decision": DECISION,
        "words": TEXT,
        "score": {"type": "integer", "minimum": 0, "maximum": 100},
        "points": _list(_object(point)),
        "lines": _object({"divers": WHOLE, "nobody_to_save": WHOLE, "rescue": WHOLE}),
        "stops": fired,
        "triggers": fired,
        "vehicle": fired,
        "rule": _object({"id": {"enum": list(RULES)}, "text": TEXT, "because": _list(TEXT)}),
        "controls": _list(_object(control)),
        "flags": _list({"enum": list(FLAGS)}),
        "flag_words": _list(_object({"id": {"enum": list(FLAGS)}, "text": TEXT})),
        "settled": YES_OR_NO,
        "best": DECISION,
        "worst": DECISION,
        "settle_by": {"anyOf": [{"enum": list(INPUTS)}, {"type": "null"}]},
        "margins": _list(_object(margin, ("input", "label", "now", "unit"))),
        "assumed": _list(_object(assumed)),
        "not_assessed": _list(TEXT),
        "waivers": _list(_object({"id": TEXT, "text": TEXT})),
        "map": {"anyOf": [{"type": "null"}, drawn]},
        "valid_until": MOMENT,
        "valid_because": TEXT,
        "cautions": _list(TEXT),
        "protocol": _object({"id": TEXT, "version": TEXT, "digest": DIGEST}),
        "engine": _object({"version": TEXT}),
        "digest": DIGEST,
    }
    return {"$schema": DRAFT, "$id": "opsrisk.decision/1", "title": "A decision"} | _object(properties)


def protocol_schema() -> Schema:
    """The schema of `opsrisk.protocol/1`."""
    kinds: Schema = {"enum": ["published", "practice", "agency"]}
    statuses: Schema = {"enum": ["read", "second-hand", "memory"]}
    source = _object({"kind": kinds, "document": TEXT, "where": TEXT, "status": statuses, "note": TEXT}, ("kind",))
    measure = _object(
        {"value": DECIMAL, "unit": TEXT, "text": TEXT, "note": TEXT, "source": source}, ("value", "source")
    )
    condition: Schema = {"$ref": "#/$defs/condition"}
    common = {
        "id": TEXT,
        "text": TEXT,
        "when": {"anyOf": [condition, {"type": "null"}]},
        "source": source,
        "note": TEXT,
    }
    needed = ("id", "text", "when", "source")
    flag: Schema = {"enum": list(FLAGS)}
    spread = _object({"plus_minus": DECIMAL, "relative": DECIMAL}, ())
    domain = _list(DECIMAL) | {"minItems": 2, "maxItems": 2}
    spreads: Schema = {"type": "object", "additionalProperties": spread}
    reading = {"unit": TEXT, "domain": domain, "spread": spreads, "valid_minutes": DECIMAL, "source": source}
    reading |= {"assume": DECIMAL, "waiver": TEXT}
    of_input = _object(reading, ("source",))
    breakpoints = _list({"type": "array", "prefixItems": [TEXT, DECIMAL], "minItems": 2, "maxItems": 2})
    factor = {"id": TEXT, "input": {"enum": list(INPUTS)}, "unit": TEXT, "points": breakpoints, "source": source}
    factor |= {"note": TEXT}
    rule = common | {"effect": {"enum": list(EFFECTS)}, "absolute": {"enum": ["yes", "no"]}, "flag": flag}
    control = common | {"owner": {"enum": list(POSITIONS)}, "serves": {"enum": ["divers", "vehicle"]}, "flag": flag}
    properties = {
        "format": {"const": "opsrisk.protocol/1"},
        "id": TEXT, "version": TEXT, "title": TEXT, "effective_from": TEXT, "author": TEXT, "note": TEXT,
        "lines": _object({"divers": measure, "nobody_to_save": measure, "rescue": measure}),
        "recheck": measure,
        "settings": _object(dict.fromkeys(SETTINGS, measure)),
        "inputs": {"type": "object", "propertyNames": {"enum": list(INPUTS)}, "additionalProperties": of_input},
        "factors": _list(_object(factor, ("id", "input", "points", "source"))),
        "combinations": _list(_object(common | {"points": DECIMAL}, (*needed, "points"))),
        "rules": _list(_object(rule, (*needed, "effect"))),
        "controls": _list(_object(control, (*needed, "owner", "serves"))),
        "notes": _list(_object(common | {"flag": flag}, (*needed, "flag"))),
        "waivers": {"type": "object", "additionalProperties": TEXT},
        "not_assessed": _list(TEXT),
    }  # fmt: skip
    required = tuple(name for name in properties if name != "note")
    head = {
        "$schema": DRAFT,
        "$id": "opsrisk.protocol/1",
        "title": "A protocol",
        "$defs": {"condition": _condition(condition)},
    }
    return head | _object(properties, required)


def _condition(condition: Schema) -> Schema:
    joined = [_object({word: {"type": "array", "items": condition, "minItems": 1}}) for word in ("all", "any")]
    compared: Schema = {"anyOf": [TEXT, _object({"input": {"enum": list(INPUTS)}})]}
    limits = [
        _object({"input": {"enum": list(INPUTS)}, word: compared, "unit": TEXT}, ("input", word))
        for word in COMPARISONS
    ]
    return {"anyOf": [*joined, _object({"not": condition}), *limits]}


SCHEMAS = {"situation": situation_schema, "decision": decision_schema, "protocol": protocol_schema}
