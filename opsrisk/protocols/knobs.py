"""The limits of a protocol that can be tried at another value: each with a range to move it in."""

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


@dataclass(frozen=True)
class Knob:
    """One limit. `key` names it whatever else is edited: section, id, and its number within the condition."""

    key: str
    group: str
    words: str
    value: str
    unit: str
    lowest: str
    highest: str
    step: str


def knobs(document: Mapping[str, Any]) -> Iterator[Knob]:
    """Every limit that is a number: the lines of the score, then rules, combinations and controls."""
    for name, words in LINE_WORDS.items():
        yield Knob(f"lines/{name}/0", "lines", words, document["lines"][name]["value"], "points", "0", "100", "1")
    for section in MOVABLE:
        for entry in document[section]:
            for number, limit in enumerate(leaves(entry["when"])):
                knob = _knob(f"{section}/{entry['id']}/{number}", section, entry["text"], limit)
                if knob:
                    yield knob


def turned(document: Mapping[str, Any], key: str, value: str) -> dict[str, Any]:
    """A copy of `document` with the limit `key` at `value`. Raises LookupError; the result may be no protocol."""
    section, name, number = key.split("/")
    made = copy.deepcopy(dict(document))
    if section == "lines":
        made["lines"][name]["value"] = value
        return made
    if section not in MOVABLE:
        raise LookupError(key)
    entry = next(iter(each for each in made[section] if each["id"] == name), None)
    limits = list(leaves(entry["when"])) if entry else []
    if not number.isdigit() or int(number) >= len(limits):
        raise LookupError(key)
    limit = limits[int(number)]
    limit[comparison_of(limit)] = value
    return made


def _knob(key: str, section: str, text: str, limit: Mapping[str, Any]) -> Knob | None:
    name, comparison = limit["input"], comparison_of(limit)
    item, value, unit = INPUTS[name], limit[comparison], limit.get("unit", "")
    if not isinstance(item, Quantity) or not isinstance(value, str):
        return None
    places = len(value.partition(".")[2])
    step = Fraction(1, 10**places)
    lowest, highest = _range(item, Fraction(value), unit, step)
    words = f"{text}: {label(name).lower()} {limit_words(name, comparison, '…')}"
    ends = (decimal_string(end, places) for end in (lowest, highest, step))
    return Knob(key, section, words, value, unit, *ends)


def _range(item: Quantity, value: Fraction, unit: str, step: Fraction) -> tuple[Fraction, Fraction]:
    """Twice the value and down to nothing, at least twenty steps; temperatures ten degrees each way."""
    _, _, factor, offset = UNITS[unit]
    ends = [(Fraction(end) - offset) / factor for end in (item.lowest, item.highest)]
    spare = 10 if UNITS[unit][0] == "temperature" else max(abs(value), 10 * step)
    return max(ends[0], value - spare), min(ends[1], value + spare)
