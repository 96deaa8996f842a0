"""The numbers of a protocol that can be tried at another value: each with a range to move it in."""

import copy
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.protocols.strips import leaves
from opsrisk.protocols.words import LINE_WORDS, comparison_of, label, limit_words
from opsrisk.reference.units import UNITS, decimal_string

MOVABLE = ("rules", "combinations", "controls")
LIMITS = {"rules": "Limits of rules", "combinations": "Limits of combinations", "controls": "Limits of controls"}
WHOLE, TOGETHER = "100", "Points of combinations"
SPARE_POINTS = 10  # how far beyond their own number the last points of a factor can be moved


@dataclass(frozen=True)
class Knob:
    """One number. `key` names it whatever else is edited: what it is, the entry's id, and its number in the entry."""

    key: str
    group: str
    words: str
    value: str
    unit: str
    lowest: str
    highest: str
    step: str

    @property
    def factor(self) -> str:
        """The id of the factor whose points it moves; '' for any other number."""
        kind, name, _ = self.key.split("/")
        return name if kind in ("weight", "points", "bands") else ""


def knobs(document: Mapping[str, Any]) -> Iterator[Knob]:
    """The lines of the score, then what gives points, then the limits of rules, combinations and controls."""
    yield from _lines(document["lines"])
    for factor in document["factors"]:
        yield from _factor(factor)
    for extra in document["combinations"]:
        yield _points(f"together/{extra['id']}/0", TOGETHER, extra["text"], extra["points"])
    for section in MOVABLE:
        for entry in document[section]:
            for number, limit in enumerate(leaves(entry["when"])):
                knob = _limit(f"{section}/{entry['id']}/{number}", section, entry["text"], limit)
                if knob:
                    yield knob


def turned(document: Mapping[str, Any], key: str, value: str) -> dict[str, Any]:
    """A copy of `document` with the number `key` at `value`. Raises LookupError; the result may be no protocol."""
    kind, name, number = key.split("/")
    made = copy.deepcopy(dict(document))
    if kind == "lines":
        made["lines"][name]["value"] = value
    elif kind == "weight":
        _weigh(_entry(made, "factors", name), value)
    elif kind in ("bands", "points"):
        _at(_entry(made, "factors", name)["points"], number)[kind == "points"] = value
    elif kind == "together":
        _entry(made, "combinations", name)["points"] = value
    elif kind in MOVABLE:
        limit = _at(list(leaves(_entry(made, kind, name)["when"])), number)
        limit[comparison_of(limit)] = value
    else:
        raise LookupError(key)
    return made


def _entry(document: Mapping[str, Any], section: str, name: str) -> Any:
    found = next((each for each in document[section] if each["id"] == name), None)
    if found is None:
        raise LookupError(name)
    return found


def _at(parts: list[Any], number: str) -> Any:
    if not number.isdigit():
        raise LookupError(number)
    return parts[int(number)]


def _weigh(factor: Any, percent: str) -> None:
    """All points of `factor` in proportion, rounded up to whole ones; the reader refuses what is no percentage."""
    for point in factor["points"]:
        point[1] = str(-(-int(point[1]) * int(percent) // 100)) if percent.isdecimal() else percent


def _lines(given: Mapping[str, Any]) -> Iterator[Knob]:
    """Each between the lines before and after it: lines that cross are no protocol."""
    ends = ["0", *(given[name]["value"] for name in LINE_WORDS), "100"]
    for place, (name, words) in enumerate(LINE_WORDS.items()):
        lowest, value, highest = ends[place : place + 3]
        top = str(max(int(highest), int(value)))  # the rescue line of a draft may lie over 100
        yield Knob(f"lines/{name}/0", "Lines of the score", words, value, "points", lowest, top, "1")


def _factor(factor: Mapping[str, Any]) -> Iterator[Knob]:
    """The weight of a factor as a whole; the points at each breakpoint; where a breakpoint of a reading lies."""
    item, unit, bends = INPUTS[factor["input"]], factor.get("unit", ""), factor["points"]
    group = f"Points for {item.label.lower()}"
    yield Knob(f"weight/{factor['id']}/0", group, f"{item.label}: all its points", WHOLE, "%", "0", "200", "10")
    for number, (value, points) in enumerate(bends):
        where = f"{value} {unit}".strip().replace("_", " ")
        least = int(bends[number - 1][1]) if number else 0
        most = (
            int(bends[number + 1][1]) if number + 1 < len(bends) else max(2 * int(points), int(points) + SPARE_POINTS)
        )
        if least < most:
            key = f"points/{factor['id']}/{number}"
            yield _points(key, group, f"{item.label}: points at {where}", points, least=least, most=most)
        if isinstance(item, Quantity):
            yield _band(factor, number, group, item)


def _points(key: str, group: str, words: str, value: str, *, least: int = 0, most: int | None = None) -> Knob:
    top = max(2 * int(value), int(value) + SPARE_POINTS) if most is None else most
    # A draft may still have points that fall: its own number always lies in the range.
    return Knob(key, group, words, value, "points", str(min(least, int(value))), str(max(top, int(value))), "1")


def _band(factor: Mapping[str, Any], number: int, group: str, item: Quantity) -> Knob:
    """The reading at a breakpoint: it stays between its neighbours, a step from each, at least ten steps apart."""
    bends, unit = factor["points"], factor.get("unit", "")
    value, points = bends[number]
    beside = [Fraction(bends[at][0]) for at in (number - 1, number + 1) if 0 <= at < len(bends)]
    places = max(len(each.partition(".")[2]) for each, _ in bends)
    if any(abs(near - Fraction(value)) * 10**places < 10 for near in beside):
        places += 1
    step = Fraction(1, 10**places)
    lowest, highest = _range(item, Fraction(value), unit, step)
    lowest = max([lowest, *(near + step for near in beside if near < Fraction(value))])
    highest = min([highest, *(near - step for near in beside if near > Fraction(value))])
    words = f"{item.label}: the reading with {points} points"
    ends = (decimal_string(end, places) for end in (lowest, highest, step))
    return Knob(f"bands/{factor['id']}/{number}", group, words, value, unit, *ends)


def _limit(key: str, section: str, text: str, limit: Mapping[str, Any]) -> Knob | None:
    name, comparison = limit["input"], comparison_of(limit)
    item, value, unit = INPUTS[name], limit[comparison], limit.get("unit", "")
    if not isinstance(item, Quantity) or not isinstance(value, str):
        return None
    places = len(value.partition(".")[2])
    step = Fraction(1, 10**places)
    lowest, highest = _range(item, Fraction(value), unit, step)
    words = f"{text}: {label(name).lower()} {limit_words(name, comparison, '…')}"
    ends = (decimal_string(end, places) for end in (lowest, highest, step))
    return Knob(key, LIMITS[section], words, value, unit, *ends)


def _range(item: Quantity, value: Fraction, unit: str, step: Fraction) -> tuple[Fraction, Fraction]:
    """Twice the value and down to nothing, at least twenty steps; temperatures ten degrees each way."""
    _, _, factor, offset = UNITS[unit]
    ends = [(Fraction(end) - offset) / factor for end in (item.lowest, item.highest)]
    spare = 10 if UNITS[unit][0] == "temperature" else max(abs(value), 10 * step)
    return max(ends[0], value - spare), min(ends[1], value + spare)
