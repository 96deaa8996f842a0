"""The registry as documents: what each computation asks and answers, and the JSON Schema of its input."""

from typing import Any

from opsrisk.assessment.computations.entry import UNITS, Answered, Asked, Computation, Packed, Rows, cited
from opsrisk.assessment.computations.registry import COMPUTATIONS
from opsrisk.assessment.fields import Choice, Measure, Number
from opsrisk.assessment.schemas import DRAFT, UNKNOWN, Schema, closed_object, schema_of
from opsrisk.reference.units import from_si

Json = dict[str, Any]


def catalogue() -> list[Json]:
    """Every computation in one line each."""
    return [
        {"name": one.name, "title": one.title, "question": one.question, "page": f"docs/computations/{one.page}.md"}
        for one in COMPUTATIONS.values()
    ]


def described(entry: Computation) -> Json:
    """Everything about one computation, its input's schema included."""
    return {
        "name": entry.name,
        "title": entry.title,
        "question": entry.question,
        "method": entry.method,
        "limits": entry.limits,
        "sources": [cited(source) for source in entry.sources],
        "page": f"docs/computations/{entry.page}.md",
        "inputs": [_asked(one) for one in entry.asks],
        "answers": [_answered(one) for one in entry.answers],
        "schema": input_schema(entry),
    }


def _asked(one: Asked) -> Json:
    return {"name": one.name, "words": one.words, "accepted": accepted(one), "unknown": if_unknown(one)}


def _answered(one: Answered) -> Json:
    error = one.error.text if one.error else ""
    return {"name": one.name, "words": one.words, "unit": one.unit, "kind": one.kind, "error": error}


def accepted(one: Asked) -> str:
    """What an input may be, in words: '0 to 200 m, ft'."""
    shape = one.shape
    if isinstance(shape, Measure):
        first = shape.units[0]
        ends = " to ".join(_short(from_si(end, first, 4)) for end in (shape.lowest, shape.highest))
        others = f" ({', '.join(shape.units[1:])} too)" if shape.units[1:] else ""
        return f"{ends} {first}{others}"
    if isinstance(shape, Number):
        return f"{shape.lowest} to {shape.highest}"
    if isinstance(shape, Choice):
        return ", ".join(shape.values)
    if isinstance(shape, Rows):
        return f"{shape.least} to {shape.most} rows of {', '.join(shape.row.fields)}"
    if isinstance(shape, Packed):
        return shape.title
    return "a time with its offset" if not hasattr(shape, "fields") else f"an object of {', '.join(shape.fields)}"


def _short(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def if_unknown(one: Asked) -> str:
    """What happens where nobody knows an input, in words."""
    if one.setting:
        return f"taken as {one.setting} {one.unit}".strip() + (f": {one.why}" if one.why else "")
    if one.span is not None:
        unit = one.shape.si if isinstance(one.shape, Measure) else ""
        return f"a range of answers over {one.span[0]:g} to {one.span[1]:g} {unit}".strip()
    if one.is_ranged:
        return "a range of answers over every choice"
    return "left out" if one.optional else "refused: it is needed"


def input_schema(entry: Computation) -> Schema:
    """The JSON Schema (draft 2020-12) of the input document of `entry`."""
    properties: dict[str, Schema] = {one.name: _shape_schema(one.shape) for one in entry.asks}
    properties["units"] = {"enum": list(UNITS)}
    needed = tuple(one.name for one in entry.asks if not (one.setting or one.optional or one.is_ranged))
    head: Schema = {"$schema": DRAFT, "$id": f"opsrisk.computation/1/{entry.name}", "title": entry.title}
    return head | closed_object(properties, needed)


def _shape_schema(shape: Any) -> Schema:
    if isinstance(shape, Packed):
        found: Schema = {"type": "object", "title": shape.title}
    elif isinstance(shape, Rows):
        row = schema_of(shape.row)["anyOf"][0]  # a row is never unknown as a whole
        found = {"type": "array", "minItems": shape.least, "maxItems": shape.most, "items": row}
    else:
        return schema_of(shape)
    return {"anyOf": [found, UNKNOWN]} if shape.may_be_unknown else found
