"""The one call: the name of a computation and an input document in, the answer document out.

What nobody knows is tried at several values, ends included, together with the bounds of what is known; the answer is
then the range of everything that came out. That range is exact where a computation only rises or falls with an input,
and as good as the values tried where it does not.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from fractions import Fraction
from itertools import product
from math import ceil, floor
from typing import Any

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.computations.entry import Answered, Computation, cited
from opsrisk.assessment.computations.reading import Read, Taken, read_inputs
from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.physics.no_stop import TablesNotAdopted
from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.tether import NotClosed
from opsrisk.reference.units import UNITS, decimal_string, from_si

FORMAT = "opsrisk.computation/1"
GUARD_PLACES = 6  # rounded to so many places more first: the last bit of a float is no reason to round up

Json = dict[str, Any]


def run(entry: Computation, given: str | bytes | Mapping[str, Any]) -> Json:
    """The answer of `entry` to an input document. Raises ComputationRefused."""
    read = read_inputs(entry, given)
    all_points = _points(entry, read.taken)
    central = None if any(one.state == "not known" for one in read.taken) else _call(entry, read, _central(read.taken))
    found = [_call(entry, read, point) for point in all_points] if len(all_points) > 1 or central is None else [central]
    return {
        "format": FORMAT,
        "computation": entry.name,
        "title": entry.title,
        "inputs": read.document,
        "taken": [_said(one) for one in read.taken if one.state != "left out"],
        "tried": len(all_points),
        "answers": [answer for one in entry.answers for answer in _answers(one, central, found, read.units)],
        "method": entry.method,
        "limits": entry.limits,
        "sources": [cited(source) for source in entry.sources],
        "page": f"docs/computations/{entry.page}.md",
        "cautions": [*entry.cautions, *CAUTIONS],
    }


def _said(one: Taken) -> Json:
    """How an input was taken, with the reason where nobody gave it."""
    why = {"given": "", "usual": one.ask.why or "the usual value", "not known": one.ask.why or "every plausible value"}
    return {"input": one.ask.name, "words": one.ask.words, "shown": one.shown, "state": one.state,
            "why": why[one.state]}  # fmt: skip


def _central(taken: Sequence[Taken]) -> dict[str, Any]:
    return {one.ask.name: one.value for one in taken}


def _points(entry: Computation, taken: Sequence[Taken]) -> list[dict[str, Any]]:
    """Every combination to try; where there are too many, only the ends of each input. Raises ComputationRefused."""
    names = [one.ask.name for one in taken]
    axes = [one.points for one in taken]
    if _count(axes) > entry.most_points:
        axes = [points if len(points) < 3 or isinstance(points[0], str) else _ends(points) for points in axes]
    if _count(axes) > entry.most_points:
        wide = ", ".join(one.ask.name for one in taken if len(one.points) > 1)
        raise ComputationRefused([(wide, "unknown or with bounds, all at once", "fewer of them: settle one first")])
    _refuse_ranges_of_lists(entry, taken)
    return [dict(zip(names, point, strict=True)) for point in product(*axes)]


def _ends(points: tuple[Any, ...]) -> tuple[Any, ...]:
    return min(points), max(points)


def _count(axes: Sequence[tuple[Any, ...]]) -> int:
    total = 1
    for points in axes:
        total *= len(points)
    return total


def _refuse_ranges_of_lists(entry: Computation, taken: Sequence[Taken]) -> None:
    """A list of windows at each of many values is no answer that anybody could use."""
    open_ones = [one for one in taken if len(one.points) > 1]
    if open_ones and any(one.kind == "rows" and not one.drawn for one in entry.answers):
        accepted = "one value, no bounds: a list of answers has no range"
        raise ComputationRefused([(one.ask.name, one.shown, accepted) for one in open_ones])


def _call(entry: Computation, read: Read, point: Mapping[str, Any]) -> Mapping[str, Any]:
    """The computation itself, its refusals said by the fields of the document."""
    try:
        return entry.call(point)
    except OutOfRange as refusal:
        field = entry.arguments.get(refusal.argument, refusal.argument)
        shown = {one.ask.name: one.shown for one in read.taken}.get(field)
        given = _short(refusal.given) if shown is None else f"{shown} ({_short(refusal.given)})"
        raise ComputationRefused([(field, given, refusal.accepted)]) from refusal
    except TablesNotAdopted as refusal:
        raise ComputationRefused([("adoption", "none that counts", str(refusal))]) from refusal
    except NotClosed as refusal:
        raise ComputationRefused([("tether_out", str(refusal), "a line whose shape can be found: less slack")]) from (
            refusal
        )


def _short(given: object) -> str:
    text = f"{given:g}" if isinstance(given, float) else str(given)
    return text if len(text) <= 80 else text[:77] + "..."


def _answers(
    one: Answered, central: Mapping[str, Any] | None, found: Sequence[Mapping[str, Any]], units: str
) -> Iterator[Json]:
    """The output `one` over everything that was tried; nothing where the computation left it out everywhere."""
    if not any(one.name in each for each in found):
        return
    values = [each.get(one.name) for each in found]
    middle = None if central is None else central.get(one.name)
    answer: Json = {"name": one.name, "words": one.words, "kind": one.kind}
    if one.kind == "quantity":
        answer |= _quantity(one, middle, values, units)
    elif one.kind == "rows":
        answer["rows"] = [_row_of(one, row, units) for row in middle or []]
        answer["columns"] = [
            {"name": column.name, "words": column.words, "unit": column.in_units(units)[0]} for column in one.columns
        ]
    else:
        answer |= _words(one, middle, values)
    if one.error:
        answer["error"] = one.error.text
    yield answer


def _quantity(one: Answered, middle: float | None, values: Sequence[float | None], units: str) -> Json:
    unit, places = one.in_units(units)
    numbers = [value for value in values if value is not None]
    answer: Json = {"unit": unit, "value": None if middle is None else shown(middle, unit, places, one.toward)}
    low, high = (min(numbers), max(numbers)) if numbers else (None, None)
    if low is not None and high is not None and len(values) > 1:
        answer |= {"low": shown(low, unit, places, "down"), "high": shown(high, unit, places, "up")}
        if len(numbers) < len(values):
            answer["may_be_none"] = True
    end = {"up": answer.get("high"), "down": answer.get("low")}.get(one.toward)
    answer["plan_on"] = end or answer["value"]
    return answer


def _words(one: Answered, middle: Any, values: Sequence[Any]) -> Json:
    texts = sorted({_text(value) for value in values if value is not None})
    if len(texts) > 1:
        return {"value": None if middle is None else _text(middle), "any_of": texts}
    return {"value": texts[0] if texts else None}


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value.isoformat(timespec="seconds") if isinstance(value, datetime) else str(value)


def _row_of(one: Answered, row: Mapping[str, Any], units: str) -> Json:
    """One row of a list of answers, each cell as text."""
    cells: Json = {}
    for column in one.columns:
        value = row.get(column.name)
        if value is None or column.kind != "quantity":
            cells[column.name] = None if value is None else _text(value)
        else:
            unit, places = column.in_units(units)
            cells[column.name] = shown(value, unit, places, column.toward)
    return cells


def shown(si_value: float, unit: str, places: int, toward: str = "nearest") -> str:
    """`si_value` in `unit` as a decimal string, rounded to the nearest or to the careful side.

    >>> shown(12.0, "ft", 1, "up"), shown(30.0000000001, "min", 0, "up")
    ('39.4', '30')
    """
    if toward == "nearest":
        return from_si(si_value, unit, places) if unit in UNITS else decimal_string(Fraction(si_value), places)
    near = Fraction(shown(si_value, unit, places + GUARD_PLACES))
    step = Fraction(1, 10**places)
    whole = ceil(near / step) if toward == "up" else floor(near / step)
    return decimal_string(whole * step, places)
