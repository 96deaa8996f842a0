"""Readings, what fired on them, and the values at which the decision changes, in words."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from opsrisk.assessment.words import choice_word, number, one_line
from opsrisk.briefing.sheet.blocks import Row
from opsrisk.briefing.sheet.given import Given, Json
from opsrisk.briefing.sheet.speech import cited
from opsrisk.engine.inputs import INPUTS, Quantity

EFFECTS = {
    "missing": "Missing",
    "stop_everybody": "Stop for everybody",
    "stop_divers": "Stop for divers",
    "trigger": "Vehicle first",
    "trigger_that_holds": "Vehicle first, without one hold",
    "vehicle_unable": "Vehicle cannot",
}


@dataclass(frozen=True)
class Flip:
    """One margin: where an input changes the decision, all else equal."""

    input: str
    label: str
    way: str  # worse or better
    value: str
    decision: str


def flips(given: Given) -> tuple[Flip, ...]:
    """The margins of the decision document, those that make it more cautious first."""
    found = []
    for way in ("worse", "better"):
        for item in given.items("margins"):
            change = item.get(way)
            if isinstance(change, Mapping):
                name = str(item.get("input", ""))
                value = _edge(name, change, str(item.get("unit", "")), way)
                found.append(Flip(name, one_line(item.get("label")), way, value, str(change.get("decision"))))
    return tuple(found)


def fired_row(item: Json) -> Row:
    """A stop or trigger: what was observed, the limit, and where the limit comes from."""
    effect = str(item.get("effect", ""))
    label = EFFECTS.get(effect, effect) + (", absolute" if item.get("absolute") else "")
    limit = one_line(item.get("limit"))
    facts = "; ".join(fact for fact in (one_line(item.get("reading")), f"limit {limit}" if limit else "") if fact)
    text, source = one_line(item.get("text")), cited(one_line(item.get("source")))
    stop = effect.startswith(("missing", "stop"))
    if stop and any(letter.isdigit() for letter in facts):  # a measured value and its limit are read at arm's length
        return Row(label=label, value=f"{text} ({facts})", note=source, critical=True)
    return Row(label=label, value=text, note=f"{facts}; {source}", critical=stop)


def bounds(entry: Any, given: Given) -> str:
    """'0.6 to 1.1, measured 13:58' of a reading."""
    if not isinstance(entry, Mapping):
        return ""
    low, high = entry.get("low"), entry.get("high")
    spread = f"{number(low)} to {number(high)}" if low is not None and high is not None else ""
    when = given.clock.short(entry["at"]) if entry.get("at") else ""
    return ", ".join(part for part in (spread, f"{entry.get('how') or ''} {when}".strip()) if part)


def _edge(name: str, change: Json, unit: str, way: str) -> str:
    """'over 1 kn', '100 ft or more', 'under 5 ft', 'severe or worse'."""
    item = INPUTS.get(name)
    if not isinstance(item, Quantity):
        word = choice_word(name, change.get("value"))
        return (
            f"{word} or {way}" if item is None or change.get("value") not in (item.values[0], item.values[-1]) else word
        )
    upward = (item.worse == "higher") == (way == "worse")
    value = f"{number(change.get('value'))} {unit}".strip()
    if change.get("beyond"):
        return f"{'over' if upward else 'under'} {value}"
    return f"{value} or {'more' if upward else 'less'}"
