"""The JSON Schemas (draft 2020-12) of the situation, decision and protocol documents.

The situation's is made from the same table that reads it, so the two cannot drift. A schema says what a
document may look like; `read_situation` and `read_protocol` check more (bounds in SI, times, cross references)
and are what decides.
"""

from collections.abc import Callable, Mapping
from typing import Any

from opsrisk.assessment.fields import HOWS, SHAPE, Choice, Group, Measure, Number, People, Text, Texts, Time
from opsrisk.engine.conditions import COMPARISONS
from opsrisk.engine.decide import RULES
from opsrisk.engine.inputs import DECISIONS, FLAGS, INPUTS, POSITIONS, Configuration, Quantity
from opsrisk.engine.parts import EFFECTS, SETTINGS

DRAFT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]

DECIMAL: Schema = {"type": "string", "pattern": r"^-?[0-9]{1,12}(\.[0-9]{1,12})?$"}
AMOUNT: Schema = {"anyOf": [{"type": "number"}, DECIMAL]}
MOMENT: Schema = {"type": "string", "format": "date-time"}
UNKNOWN: Schema = {"const": "unknown"}


def situation_schema() -> Schema:
    """The schema of `opsrisk.situation/1`."""
    return {"$schema": DRAFT, "$id": "opsrisk.situation/1", "title": "A situation"} | schema_of(SHAPE)


def schema_of(shape: Any) -> Schema:
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
    return closed_object({name: schema_of(shape) for name, shape in group.fields.items()}, group.required)


def _people(people: People) -> Schema:
    return {"type": "array", "maxItems": people.most, "items": _group(people.person)}


def closed_object(properties: Mapping[str, Any], required: tuple[str, ...] | None = None) -> Schema:
    """A closed object; with `required` left out every property is required."""
    needed = list(properties if required is None else required)
    return {"type": "object", "additionalProperties": False, "properties": dict(properties), "required": needed}


def list_of(items: Schema) -> Schema:
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
        "lines": closed_object({"divers": WHOLE, "nobody_to_save": WHOLE, "rescue": WHOLE}),
        "stops": _fired(),
        "triggers": _fired(),
        "vehicle": _fired(),
        "rule": closed_object({"id": {"enum": list(RULES)}, "text": TEXT, "because": list_of(TEXT)}),
        "flags": list_of({"enum": list(FLAGS)}),
        "flag_words": list_of(closed_object({"id": {"enum": list(FLAGS)}, "text": TEXT})),
        "settled": YES_OR_NO,
        "best": DECISION,
        "worst": DECISION,
        "settle_by": {"anyOf": [{"enum": list(INPUTS)}, {"type": "null"}]},
        "not_assessed": list_of(TEXT),
        "waivers": list_of(closed_object({"id": TEXT, "text": TEXT})),
        "map": _map(),
        "valid_until": MOMENT,
        "valid_because": TEXT,
        "cautions": list_of(TEXT),
        "protocol": closed_object({"id": TEXT, "version": TEXT, "digest": DIGEST}),
        "engine": closed_object({"version": TEXT}),
        "digest": DIGEST,
    }
    head = {"$schema": DRAFT, "$id": "opsrisk.decision/1", "title": "A decision"}
    return head | closed_object(properties | _lines_of_the_decision())


def _fired() -> Schema:
    """Rules that fired, each with the reading, the limit and where the limit comes from."""
    shown = {
        "text": TEXT,
        "reading": TEXT,
        "limit": TEXT,
        "inputs": list_of(TEXT),
        "source": TEXT,
        "absolute": YES_OR_NO,
    }
    return list_of(closed_object({"id": TEXT, "effect": {"enum": list(EFFECTS)}} | shown))


def _lines_of_the_decision() -> Schema:
    """Points, controls, margins and assumptions: lists of lines as the sheet prints them."""
    flip = closed_object({"value": TEXT, "beyond": YES_OR_NO, "decision": DECISION})
    margin = {"input": TEXT, "label": TEXT, "now": TEXT, "unit": TEXT, "worse": flip, "better": flip}
    point = {"factor": TEXT, "label": TEXT, "points": WHOLE, "reading": TEXT, "band": TEXT, "source": TEXT}
    control = {"id": TEXT, "text": TEXT, "owner": {"enum": list(POSITIONS)}, "serves": TEXT, "source": TEXT}
    assumed = {"input": TEXT, "label": TEXT, "why": TEXT, "assumed": TEXT, "waiver": {"type": ["string", "null"]}}
    return {
        "points": list_of(closed_object(point)),
        "controls": list_of(closed_object(control)),
        "margins": list_of(closed_object(margin, ("input", "label", "now", "unit"))),
        "assumed": list_of(closed_object(assumed)),
    }


def _map() -> Schema:
    axis = {"input": TEXT, "label": TEXT, "unit": TEXT, "edges": list_of(DECIMAL), "known": YES_OR_NO}
    axis |= {"value": DECIMAL, "low": DECIMAL, "high": DECIMAL}
    drawn = closed_object({"x": closed_object(axis), "y": closed_object(axis), "cells": list_of(list_of(DECISION))})
    return {"anyOf": [{"type": "null"}, drawn]}


# What a protocol's author writes: never blank, numbers as decimal strings, counts and minutes whole.
WORDS: Schema = {"type": "string", "pattern": r"\S"}
WHOLE_NUMBER: Schema = {"type": "string", "pattern": r"^-?[0-9]{1,12}$"}
MINUTES: Schema = {"type": "string", "pattern": r"^0*[1-9][0-9]{0,11}$"}
DAY: Schema = {"type": "string", "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}
QUANTITIES = [name for name, item in INPUTS.items() if isinstance(item, Quantity)]
GRADED = [name for name, item in INPUTS.items() if not isinstance(item, Configuration)]
STATUS: Schema = {"enum": ["read", "second-hand", "memory"]}
SOURCE_FIELDS: Schema = {"document": TEXT, "where": TEXT, "status": STATUS, "note": WORDS}
SOURCE: Schema = {
    "anyOf": [
        closed_object({"kind": {"enum": ["practice", "agency"]}} | SOURCE_FIELDS, ("kind",)),
        closed_object({"kind": {"const": "published"}} | SOURCE_FIELDS, ("kind", "document", "status")),
    ]
}
CONDITION: Schema = {"$ref": "#/$defs/condition"}


def protocol_schema() -> Schema:
    """The schema of `opsrisk.protocol/1`."""
    line = _measure(WHOLE_NUMBER)
    properties = {
        "format": {"const": "opsrisk.protocol/1"},
        "id": WORDS, "version": WORDS, "title": WORDS, "effective_from": DAY, "author": WORDS, "note": WORDS,
        "lines": closed_object({"divers": line, "nobody_to_save": line, "rescue": line}),
        "recheck": _measure(MINUTES),
        "settings": closed_object(dict.fromkeys(SETTINGS, _measure(DECIMAL))),
        "inputs": {
            "type": "object",
            "propertyNames": {"enum": QUANTITIES},
            "additionalProperties": _of_input(),
            "required": [name for name in QUANTITIES if name.startswith("readings.")],
        },
        "factors": list_of(_factor()),
        "waivers": {"type": "object", "additionalProperties": WORDS},
        "not_assessed": list_of(WORDS),
    }  # fmt: skip
    properties |= _rules()
    required = tuple(name for name in properties if name != "note")
    adopted = {"person": TEXT, "on": TEXT, "digest": DIGEST, "altitude": _measure(DECIMAL), "source": SOURCE}
    properties["no_stop_adoption"] = closed_object(adopted | {"note": TEXT}, tuple(adopted))
    head = {"$schema": DRAFT, "$id": "opsrisk.protocol/1", "title": "A protocol", "$defs": {"condition": _condition()}}
    return head | closed_object(properties, required)


def _measure(value: Schema) -> Schema:
    fields = {"value": value, "unit": TEXT, "text": WORDS, "note": WORDS, "source": SOURCE}
    return closed_object(fields, ("value", "source"))


def _of_input() -> Schema:
    """What a protocol says of one quantity."""
    spread = closed_object({"plus_minus": DECIMAL, "relative": DECIMAL}, ())
    domain = list_of(DECIMAL) | {"minItems": 2, "maxItems": 2}
    spreads: Schema = closed_object(dict.fromkeys(HOWS, spread), ())
    reading = {"unit": TEXT, "domain": domain, "spread": spreads, "valid_minutes": MINUTES, "source": SOURCE}
    together = {"dependentRequired": {"assume": ["waiver"], "waiver": ["assume"]}}
    return closed_object(reading | {"assume": DECIMAL, "waiver": WORDS}, ("source", "unit")) | together


def _factor() -> Schema:
    point: Schema = {"type": "array", "prefixItems": [WORDS, WHOLE_NUMBER], "minItems": 2, "maxItems": 2}
    points = list_of(point) | {"minItems": 1}
    factor = {"id": WORDS, "input": {"enum": GRADED}, "unit": TEXT, "points": points, "source": SOURCE}
    return closed_object(factor | {"note": WORDS}, ("id", "input", "points", "source"))


def _rules() -> dict[str, Schema]:
    """Everything that fires on a condition; a condition of null is a limit that was abolished."""
    when: Schema = {"anyOf": [CONDITION, {"type": "null"}]}
    common = {"id": WORDS, "text": WORDS, "when": when, "source": SOURCE, "note": WORDS}
    needed = ("id", "text", "when", "source")
    flag: Schema = {"enum": list(FLAGS)}
    rule = common | {"effect": {"enum": list(EFFECTS)}, "absolute": {"enum": ["yes", "no"]}, "flag": flag}
    control = common | {"owner": {"enum": list(POSITIONS)}, "serves": {"enum": ["divers", "vehicle"]}, "flag": flag}
    return {
        "combinations": list_of(closed_object(common | {"points": WHOLE_NUMBER}, (*needed, "points"))),
        "rules": list_of(closed_object(rule, (*needed, "effect"))),
        "controls": list_of(closed_object(control, (*needed, "owner", "serves"))),
        "notes": list_of(closed_object(common | {"flag": flag}, (*needed, "flag"))),
    }


def _condition() -> Schema:
    several = {"type": "array", "items": CONDITION, "minItems": 1}
    joined = [closed_object({word: several}) for word in ("all", "any")]
    limits = [limit for word in COMPARISONS for limit in _limits(word)]
    return {"anyOf": [*joined, closed_object({"not": CONDITION}), *limits]}


def _limits(word: str) -> list[Schema]:
    """One comparison: a quantity with a number and its unit or with another quantity, anything else with a word."""
    words = {"input": {"enum": [name for name in INPUTS if name not in QUANTITIES]}, word: WORDS}
    quantity: Schema = {"enum": QUANTITIES}
    number = {"input": quantity, word: DECIMAL, "unit": TEXT}
    other = {"input": quantity, word: closed_object({"input": quantity})}
    return [closed_object(words), closed_object(number, ("input", word)), closed_object(other)]


SCHEMAS = {"situation": situation_schema, "decision": decision_schema, "protocol": protocol_schema}
