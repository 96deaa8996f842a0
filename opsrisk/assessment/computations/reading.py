"""An input document, read strictly into what the computation takes: SI values, bounds, and what nobody knows.

The document is an object of quantities {"value", "unit"} (with "low" and "high" where bounds are known), choices,
times and lists; anything may be "unknown", and a missing field is unknown. Nothing is repaired.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Any

from opsrisk.assessment.computations.entry import UNITS, Asked, Computation, Packed, Rows
from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.fields import Choice, Group, Measure, Number, Time
from opsrisk.assessment.situation import Reader, SituationRefused, parsed
from opsrisk.reference.units import from_si, to_si

STEPS_OF_A_SPAN = 5  # values tried between the ends of what nobody knows, ends included
ANY_UNITS = Choice(UNITS, may_be_unknown=False)


@dataclass(frozen=True)
class Taken:
    """One input as the computation takes it: `value` in SI (None where it is open), every one of `points` to try.

    `state` is given, usual (the setting was taken), not known, or left out; `shown` is for people.
    """

    ask: Asked
    value: Any
    points: tuple[Any, ...]
    state: str
    shown: str


@dataclass(frozen=True)
class Read:
    """A document that was read: as given (canonical), what each input is taken as, and the units to answer in."""

    document: dict[str, Any]
    taken: tuple[Taken, ...]
    units: str


def read_inputs(entry: Computation, given: str | bytes | Mapping[str, Any]) -> Read:
    """The inputs of `entry` from JSON text or an object read from it. Raises ComputationRefused."""
    reader = Reader()
    clean = _clean_all(reader, entry, _object(given))
    taken = [_taken(reader, one, clean.get(one.name, "unknown")) for one in entry.asks] if not reader.errors else []
    if reader.errors:
        raise ComputationRefused(reader.errors)
    return Read(clean, tuple(taken), clean.get("units", "metric"))


def part_of_inputs(entry: Computation, given: Any) -> dict[str, Any]:
    """Some of the inputs of `entry`, each as strictly read; the others may come from elsewhere. As `read_inputs`."""
    reader = Reader()
    clean = _clean_all(reader, entry, _object(given))
    if reader.errors:
        raise ComputationRefused(reader.errors)
    return clean


def missing(entry: Computation, clean: Mapping[str, Any]) -> list[Asked]:
    """What `entry` cannot do without and `clean` does not hold."""
    return [
        one
        for one in entry.asks
        if not (one.setting or one.optional or one.is_ranged) and _si(one.shape, clean.get(one.name)) is None
    ]


def _clean_all(reader: Reader, entry: Computation, document: Mapping[str, Any]) -> dict[str, Any]:
    shapes: dict[str, Any] = {one.name: one.shape for one in entry.asks} | {"units": ANY_UNITS}
    clean: dict[str, Any] = {}
    for name, value in document.items():
        if name not in shapes:
            reader.fault(name, name, f"one of: {', '.join(shapes)}")
        else:
            clean[name] = _clean(reader, shapes[name], value, name)
    return clean


def _object(given: str | bytes | Mapping[str, Any]) -> Mapping[str, Any]:
    try:
        document = parsed(given) if isinstance(given, str | bytes) else given
    except SituationRefused as refused:
        raise ComputationRefused(refused.errors) from refused
    if not isinstance(document, Mapping):
        raise ComputationRefused([("document", type(document).__name__, "an object of inputs")])
    return document


def _clean(reader: Reader, shape: Any, given: Any, field: str) -> Any:
    """`given` as the situation's reader takes it, for the shapes that it knows and the two that it does not."""
    if given == "unknown" and shape.may_be_unknown:
        return given
    if isinstance(shape, Packed):
        if not isinstance(given, Mapping):
            reader.fault(field, given, f"{shape.title}, as an object")
        return as_text(given)
    if not isinstance(shape, Rows):
        return reader.value(shape, given, field)
    if not isinstance(given, list | tuple) or not shape.least <= len(given) <= shape.most:
        reader.fault(field, f"{len(given)} rows" if isinstance(given, list) else given, _rows_accepted(shape))
        return []
    return [_row(reader, shape.row, row, f"{field}[{place}]") for place, row in enumerate(given)]


def as_text(value: Any) -> Any:
    """A packed document with its numbers as decimal strings."""
    if isinstance(value, Mapping):
        return {name: as_text(part) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [as_text(part) for part in value]
    return format(value, "f") if isinstance(value, Decimal) and value.is_finite() else value


def _rows_accepted(shape: Rows) -> str:
    return f"a list of {shape.least} to {shape.most} objects with {', '.join(shape.row.fields)}"


def _row(reader: Reader, shape: Group, given: Any, field: str) -> dict[str, Any]:
    """One row of a list: what is required must be known, and a row has no bounds of its own."""
    before = len(reader.errors)
    clean = reader.group(shape, given, field)
    if len(reader.errors) > before:
        return {}
    for name, value in clean.items():
        if isinstance(value, dict) and {"low", "high"} & set(value):
            reader.fault(f"{field}.{name}", value, "a value without bounds: a list is taken as it stands")
    for name in shape.required:
        if _si(shape.fields[name], clean[name]) is None:
            reader.fault(f"{field}.{name}", "unknown", "a value; it is required")
    return clean


def _taken(reader: Reader, ask: Asked, given: Any) -> Taken:
    """What the computation takes for one input, or a fault where it cannot do without."""
    value = _si(ask.shape, given)
    if value is not None:
        low, high = (_end(given, end) for end in ("low", "high"))
        if ask.whole:
            bounds = (value if low is None else low, value, value if high is None else high)
            return Taken(ask, bounds, (bounds,), "given", shown(given))
        ends = [end for end in (low, high) if end is not None]
        points = tuple(dict.fromkeys((*ends, value))) if ends else (value,)
        return Taken(ask, value, points, "given", shown(given))
    if ask.setting:
        usual = {"value": ask.setting, "unit": ask.unit} if isinstance(ask.shape, Measure) else ask.setting
        value = _si(ask.shape, usual)
        bounds = (value, value, value)
        return Taken(ask, bounds if ask.whole else value, (bounds if ask.whole else value,), "usual", shown(usual))
    if ask.is_ranged:
        return replace(_open(ask), state="not known")
    if not ask.optional:
        reader.fault(ask.name, "unknown", f"{ask.words}: needed, and nobody can assume it")
    return Taken(ask, None, (None,), "left out", "not known")


def _open(ask: Asked) -> Taken:
    """Every value that an input may have which nobody knows."""
    if isinstance(ask.shape, Choice):
        return Taken(ask, None, ask.shape.values, "", " or ".join(ask.shape.values).replace("_", " "))
    assert ask.span is not None  # noqa: S101 - is_ranged says so
    low, high = ask.span
    steps = STEPS_OF_A_SPAN - 1
    points = tuple(low + (high - low) * step / steps for step in range(STEPS_OF_A_SPAN))
    unit = ask.shape.si if isinstance(ask.shape, Measure) else ""
    return Taken(ask, None, points, "", f"{low:g} to {high:g} {unit}".strip())


def _end(given: Any, end: str) -> float | None:
    return to_si(given[end], given["unit"]) if isinstance(given, dict) and end in given else None


def _si(shape: Any, given: Any) -> Any:
    """A cleaned value in SI: a float, a word, a time, a dict or a list of dicts; None where nobody knows it."""
    if given is None or given in ("unknown", {}):
        return None
    reader = _IN_SI.get(type(shape))
    return reader(shape, given) if reader else given


def _measured(shape: Measure, given: Mapping[str, Any]) -> float | None:
    return None if given["value"] == "unknown" else to_si(given["value"], given["unit"])


def _group_si(shape: Group, given: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _si(part, given.get(name)) for name, part in shape.fields.items()}


_IN_SI: dict[type, Callable[[Any, Any], Any]] = {
    Measure: _measured,
    Number: lambda _, given: to_si(given, ""),
    Time: lambda _, given: datetime.fromisoformat(given),
    Group: _group_si,
    Rows: lambda shape, given: [_group_si(shape.row, row) for row in given],
}


def shown(given: Any) -> str:
    """An input as a person reads it: '12 m (10 to 14)', '3 rows'."""
    if isinstance(given, list | tuple):
        return f"{len(given)} row{'' if len(given) == 1 else 's'}"
    if not isinstance(given, Mapping):
        return str(given).replace("_", " ")
    if "value" not in given:
        return str(given.get("name") or given.get("id") or "given")
    bounds = f" ({given.get('low', given['value'])} to {given.get('high', given['value'])})"
    return f"{given['value']} {given['unit']}".strip() + (bounds if {"low", "high"} & set(given) else "")


def as_quantity(low: float, value: float, high: float, unit: str, places: int) -> dict[str, str]:
    """A quantity with bounds as a document holds it, from SI."""
    ends: Iterable[tuple[str, float]] = (("value", value), ("low", low), ("high", high))
    return {name: from_si(end, unit, places) for name, end in ends} | {"unit": unit}
