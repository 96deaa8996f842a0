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
    properties = {
        "format": {"const": "opsrisk.decision/1"},
        "decision": DECISION,
        "words": TEXT,
        "score": {"type": "integer", "minimum": 0, "maximum": 100},
        "lines": _object({"divers": WHOLE, "nobody_to_save": WHOLE, "rescue": WHOLE}),
        "stops": _fired(),
        "triggers": _fired(),
        "vehicle": _fired(),
        "rule": _object({"id": {"enum": list(RULES)}, "text": TEXT, "because": _list(TEXT)}),
        "flags": _list({"enum": list(FLAGS)}),
        "flag_words": _list(_object({"id": {"enum": list(FLAGS)}, "text": TEXT})),
        "settled": YES_OR_NO,
        "best": DECISION,
        "worst": DECISION,
        "settle_by": {"anyOf": [{"enum": list(INPUTS)}, {"type": "null"}]},
        "not_assessed": _list(TEXT),
        "waivers": _list(_object({"id": TEXT, "text": TEXT})),
        "map": _map(),
        "valid_until": MOMENT,
        "valid_because": TEXT,
        "cautions": _list(TEXT),
        "protocol": _object({"id": TEXT, "version": TEXT, "digest": DIGEST}),
        "engine": _object({"version": TEXT}),
        "digest": DIGEST,
    }
    head = {"$schema": DRAFT, "$id": "opsrisk.decision/1", "title": "A decision"}
    return head | _object(properties | _lines_of_the_decision())


def _fired() -> Schema:
    """Rules that fired, each with the reading, the limit and where the limit comes from."""
    shown = {"text": TEXT, "reading": TEXT, "limit": TEXT, "inputs": _list(TEXT), "source": TEXT, "absolute": YES_OR_NO}
    return _list(_object({"id": TEXT, "effect": {"enum": list(EFFECTS)}} | shown))


def _lines_of_the_decision() -> Schema:
    """Points, controls, margins and assumptions: lists of lines as the sheet prints them."""
    flip = _object({"value": TEXT, "beyond": YES_OR_NO, "decision": DECISION})
    margin = {"input": TEXT, "label": TEXT, "now": TEXT, "unit": TEXT, "worse": flip, "better": flip}
    point = {"factor": TEXT, "label": TEXT, "points": WHOLE, "reading": TEXT, "band": TEXT, "source": TEXT}
    control = {"id": TEXT, "text": TEXT, "owner": {"enum": list(POSITIONS)}, "serves": TEXT, "source": TEXT}
    assumed = {"input": TEXT, "label": TEXT, "why": TEXT, "assumed": TEXT, "waiver": {"type": ["string", "null"]}}
    return {
        "points": _list(_object(point)),
        "controls": _list(_object(control)),
        "margins": _list(_object(margin, ("input", "label", "now", "unit"))),
        "assumed": _list(_object(assumed)),
    }


def _map() -> Schema:
    axis = {"input": TEXT, "label": TEXT, "unit": TEXT, "edges": _list(DECIMAL), "known": YES_OR_NO}
    axis |= {"value": DECIMAL, "low": DECIMAL, "high": DECIMAL}
    drawn = _object({"x": _object(axis), "y": _object(axis), "cells": _list(_list(DECISION))})
    return {"anyOf": [{"type": "null"}, drawn]}


SOURCE: Schema = _object(
    {
        "kind": {"enum": ["published", "practice", "agency"]},
        "document": TEXT,
        "where": TEXT,
        "status": {"enum": ["read", "second-hand", "memory"]},
        "note": TEXT,
    },
    ("kind",),
)


def protocol_schema() -> Schema:
    """The schema of `opsrisk.protocol/1`."""
    measure = _object(
        {"value": DECIMAL, "unit": TEXT, "text": TEXT, "note": TEXT, "source": SOURCE}, ("value", "source")
    )
    properties = {
        "format": {"const": "opsrisk.protocol/1"},
        "id": TEXT, "version": TEXT, "title": TEXT, "effective_from": TEXT, "author": TEXT, "note": TEXT,
        "lines": _object({"divers": measure, "nobody_to_save": measure, "rescue": measure}),
        "recheck": measure,
        "settings": _object(dict.fromkeys(SETTINGS, measure)),
        "inputs": {"type": "object", "propertyNames": {"enum": list(INPUTS)}, "additionalProperties": _of_input()},
        "factors": _list(_factor()),
        "waivers": {"type": "object", "additionalProperties": TEXT},
        "not_assessed": _list(TEXT),
    }  # fmt: skip
    properties |= _rules()
    required = tuple(name for name in properties if name != "note")
    head = {"$schema": DRAFT, "$id": "opsrisk.protocol/1", "title": "A protocol", "$defs": {"condition": _condition()}}
    return head | _object(properties, required)


def _of_input() -> Schema:
    """What a protocol says of one quantity."""
    spread = _object({"plus_minus": DECIMAL, "relative": DECIMAL}, ())
    domain = _list(DECIMAL) | {"minItems": 2, "maxItems": 2}
    spreads: Schema = {"type": "object", "additionalProperties": spread}
    reading = {"unit": TEXT, "domain": domain, "spread": spreads, "valid_minutes": DECIMAL, "source": SOURCE}
    return _object(reading | {"assume": DECIMAL, "waiver": TEXT}, ("source",))


def _factor() -> Schema:
    breakpoints = _list({"type": "array", "prefixItems": [TEXT, DECIMAL], "minItems": 2, "maxItems": 2})
    factor = {"id": TEXT, "input": {"enum": list(INPUTS)}, "unit": TEXT, "points": breakpoints, "source": SOURCE}
    return _object(factor | {"note": TEXT}, ("id", "input", "points", "source"))


def _rules() -> dict[str, Schema]:
    """Everything that fires on a condition; a condition of null is a limit that was abolished."""
    when: Schema = {"anyOf": [CONDITION, {"type": "null"}]}
    common = {"id": TEXT, "text": TEXT, "when": when, "source": SOURCE, "note": TEXT}
    needed = ("id", "text", "when", "source")
    flag: Schema = {"enum": list(FLAGS)}
    rule = common | {"effect": {"enum": list(EFFECTS)}, "absolute": {"enum": ["yes", "no"]}, "flag": flag}
    control = common | {"owner": {"enum": list(POSITIONS)}, "serves": {"enum": ["divers", "vehicle"]}, "flag": flag}
    return {
        "combinations": _list(_object(common | {"points": DECIMAL}, (*needed, "points"))),
        "rules": _list(_object(rule, (*needed, "effect"))),
        "controls": _list(_object(control, (*needed, "owner", "serves"))),
        "notes": _list(_object(common | {"flag": flag}, (*needed, "flag"))),
    }


CONDITION: Schema = {"$ref": "#/$defs/condition"}


def _condition() -> Schema:
    joined = [_object({word: {"type": "array", "items": CONDITION, "minItems": 1}}) for word in ("all", "any")]
    compared: Schema = {"anyOf": [TEXT, _object({"input": {"enum": list(INPUTS)}})]}
    limits = [
        _object({"input": {"enum": list(INPUTS)}, word: compared, "unit": TEXT}, ("input", word))
        for word in COMPARISONS
    ]
    return {"anyOf": [*joined, _object({"not": CONDITION}), *limits]}


SCHEMAS = {"situation": situation_schema, "decision": decision_schema, "protocol": protocol_schema}
