"""What the plan's page asks: fields made from the registry, and what was typed as plan inputs.

Everything stands in the page's address, so that a plan can be sent to a colleague and nothing is stored.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from opsrisk.assessment.computations.describe import accepted
from opsrisk.assessment.computations.entry import Asked, Rows, Shape
from opsrisk.assessment.computations.registry import COMPUTATIONS
from opsrisk.assessment.fields import Choice, Measure, Number, Time
from opsrisk.assessment.planning.inputs import FORMAT, NAMES

Json = dict[str, Any]
US_UNITS = ("ft", "kn", "lbf", "psi", "F", "lb", "in", "ft3", "ft2", "mph", "ft3/min")
METRIC_UNITS = ("m", "kn", "N", "bar", "C", "kg", "cm", "L", "m2", "L/min")
COLUMNS_APART = ","
MOST_LETTERS = 4000


@dataclass(frozen=True)
class Field:
    """One question of the page: a value with its unit, a choice, or lines of columns."""

    name: str
    label: str
    hint: str
    kind: str  # value, choice or lines
    value: str = ""
    unit: str = ""
    units: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Section:
    """The questions of one subject."""

    title: str
    fields: tuple[Field, ...]


def unit_of(units: Sequence[str], system: str) -> str:
    """The unit that an agency works in, among those that a field takes."""
    preferred = US_UNITS if system == "us" else METRIC_UNITS
    return next((unit for unit in preferred if unit in units), units[0])


def sections(plan: Mapping[str, Any], typed: Mapping[str, str], system: str) -> list[Section]:
    """One section for every subject that lacks an answer or was asked something here before."""
    lacking = {one["computation"]: {need["field"] for need in one["needs"]} for one in plan["missing"]}
    found = []
    for name in NAMES:
        before = {key.partition(".")[2].removesuffix("_unit") for key in typed if key.startswith(f"{name}.")}
        wanted = lacking.get(name, set()) | {field for field in before if typed.get(f"{name}.{field}", "").strip()}
        fields = tuple(
            _field(name, one, typed, system)
            for one in COMPUTATIONS[name].asks
            if one.name in wanted and isinstance(one.shape, Measure | Number | Choice | Rows | Time)
        )
        if fields:
            found.append(Section(COMPUTATIONS[name].title, fields))
    return found


def _field(subject: str, one: Asked, typed: Mapping[str, str], system: str) -> Field:
    name = f"{subject}.{one.name}"
    value = typed.get(name, "").strip()
    shape = one.shape
    if isinstance(shape, Measure):
        unit = typed.get(f"{name}_unit") or unit_of(shape.units, system)
        return Field(name, one.words, accepted(one), "value", value, unit, shape.units)
    if isinstance(shape, Choice):
        return Field(name, one.words, "", "choice", value, choices=shape.values)
    if isinstance(shape, Rows):
        columns = ", ".join(_column(field, part, system) for field, part in _ordered(shape))
        return Field(name, one.words, f"One a line: {columns}", "lines", value)
    return Field(name, one.words, accepted(one), "value", value)


def _ordered(shape: Rows) -> list[tuple[str, Any]]:
    """The columns of a list, needed ones first, so that a line may stop early."""
    needed = [(name, shape.row.fields[name]) for name in shape.row.required]
    return [*needed, *((name, part) for name, part in shape.row.fields.items() if name not in shape.row.required)]


def _column(name: str, part: Any, system: str) -> str:
    words = name.replace("_", " ")
    if isinstance(part, Measure):
        return f"{words} ({unit_of(part.units, system)})"
    return f"{words} ({' or '.join(part.values)})" if isinstance(part, Choice) else words


def inputs_typed(typed: Mapping[str, str], system: str) -> Json:
    """What was typed as a plan inputs document; the strict reading comes after, by the plan itself."""
    document: Json = {"format": FORMAT, "units": system}
    for key, text in typed.items():
        subject, _, field = key.partition(".")
        given = text.strip()[:MOST_LETTERS]
        if not given or subject not in NAMES or field.endswith("_unit"):
            continue
        one = next((asked for asked in COMPUTATIONS[subject].asks if asked.name == field), None)
        if one is None:
            continue
        document.setdefault(subject, {})[field] = _given(one.shape, given, typed.get(f"{key}_unit", ""), system)
    return document


def _given(shape: Shape, text: str, unit: str, system: str) -> Any:
    if isinstance(shape, Measure):
        return {"value": text, "unit": unit or unit_of(shape.units, system)}
    if isinstance(shape, Rows):
        return [dict(_cells(shape, line, system)) for line in text.splitlines() if line.strip()]
    return text


def _cells(shape: Rows, text: str, system: str) -> Iterator[tuple[str, Any]]:
    """The cells of one line by the columns' order; what is left empty is left out."""
    cells = [cell.strip() for cell in text.split(COLUMNS_APART)]
    columns = _ordered(shape)
    for place, cell in enumerate(cells):
        if place >= len(columns):
            yield f"column {place + 1}", cell  # refused by the reader, which names it
        elif cell:
            name, part = columns[place]
            measured = isinstance(part, Measure)
            yield name, {"value": cell, "unit": unit_of(part.units, system)} if measured else cell
