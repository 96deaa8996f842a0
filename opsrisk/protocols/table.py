"""A protocol document as tables that a safety officer reads: every limit with value, unit and source."""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from opsrisk.engine.inputs import INPUTS

COMPARISON_WORDS = {
    "worse_than": "worse than",
    "as_bad_as": "as bad as",
    "better_than": "better than",
    "no_worse_than": "no worse than",
    "is": "is",
}
EFFECT_WORDS = {
    "missing": "Hold: something needed is missing",
    "stop_everybody": "Stop for everybody",
    "stop_divers": "Stop for divers",
    "trigger": "Vehicle first",
    "trigger_that_holds": "Vehicle first; without a vehicle, hold",
    "vehicle_unable": "The vehicle cannot do the work",
}
KIND_WORDS = {"practice": "common practice", "agency": "agency's choice"}


@dataclass(frozen=True)
class Row:
    what: str
    value: str
    unit: str
    source: str
    note: str
    when: str = ""


@dataclass(frozen=True)
class Section:
    title: str
    rows: tuple[Row, ...]


def sections(document: str) -> list[Section]:
    """The tables of one protocol document, in the order in which it is read."""
    given = json.loads(document)
    made: list[tuple[str, Callable[[Mapping[str, Any]], Iterator[Row]]]] = [
        ("Lines of the score", _lines),
        ("Stops, triggers and what the vehicle cannot do", lambda d: _rules(d["rules"])),
        ("Points", _factors),
        ("Points for combinations", lambda d: _rules(d["combinations"])),
        ("Controls", lambda d: _rules(d["controls"])),
        ("Numbers that computations use", _settings),
        ("What readings may be, how far they may be off, and how long they hold", _inputs),
    ]
    return [Section(title, tuple(rows(given))) for title, rows in made]


def source_words(source: Mapping[str, Any]) -> str:
    """Where a number comes from, in words."""
    if source["kind"] != "published":
        return KIND_WORDS[source["kind"]]
    place = f"{source['document']}, {source['where']}" if source.get("where") else source["document"]
    return f"{place} (from memory, not compared)" if source.get("status") == "memory" else place


def condition_words(condition: Mapping[str, Any]) -> str:
    """A condition as a sentence: 'Visibility worse than 5 ft, and ...'."""
    for join, word in (("all", ", and "), ("any", "; or ")):
        if join in condition:
            return word.join(condition_words(part) for part in condition[join])
    if "not" in condition:
        return f"not ({condition_words(condition['not'])})"
    comparison = next(name for name in COMPARISON_WORDS if name in condition)
    limit = condition[comparison]
    against = _label(limit["input"]) if isinstance(limit, dict) else f"{limit} {condition.get('unit', '')}".strip()
    return f"{_label(condition['input'])} {COMPARISON_WORDS[comparison]} {against}".replace("_", " ")


def _label(name: str) -> str:
    return INPUTS[name].label if name in INPUTS else name


def _row(what: str, value: str, unit: str, item: Mapping[str, Any]) -> Row:
    note = item.get("note") or item["source"].get("note", "")
    return Row(what, value, unit, source_words(item["source"]), note)


def _lines(given: Mapping[str, Any]) -> Iterator[Row]:
    words = {"divers": "Divers up to", "nobody_to_save": "Nobody to save, up to", "rescue": "Rescue, up to"}
    for name, item in given["lines"].items():
        yield _row(words[name], item["value"], "points", item)
    yield _row("Look again after", given["recheck"]["value"], given["recheck"]["unit"], given["recheck"])


def _rules(rules: list[Mapping[str, Any]]) -> Iterator[Row]:
    for rule in rules:
        does = EFFECT_WORDS.get(rule.get("effect", ""), rule.get("owner", "").replace("_", " "))
        absolute = " (absolute: no override)" if rule.get("absolute") else ""
        value = f"{rule['points']} points" if "points" in rule else does + absolute
        when = condition_words(rule["when"]) if rule["when"] else "no limit any more"  # abolished, not forgotten
        yield replace(_row(rule["text"], value, "", rule), when=when)


def _factors(given: Mapping[str, Any]) -> Iterator[Row]:
    for factor in given["factors"]:
        steps = "; ".join(f"{at}: {points}" for at, points in factor["points"]).replace("_", " ")
        yield _row(_label(factor["input"]), steps, factor.get("unit", ""), factor)


def _settings(given: Mapping[str, Any]) -> Iterator[Row]:
    for name, item in given["settings"].items():
        yield _row(item.get("text") or name.replace("_", " "), item["value"], item.get("unit", ""), item)


def _inputs(given: Mapping[str, Any]) -> Iterator[Row]:
    for name, item in given["inputs"].items():
        spreads = "; ".join(
            f"{how} {_spread(spread, item.get('unit', ''))}" for how, spread in item.get("spread", {}).items()
        )
        holds = f"holds {item['valid_minutes']} min" if item.get("valid_minutes") else ""
        domain = "from {} to {}".format(*item["domain"])
        words = "; ".join(part for part in (domain, spreads, holds) if part)
        yield _row(_label(name), words, item.get("unit", ""), item)


def _spread(spread: Mapping[str, str], unit: str) -> str:
    fixed = f"±{spread['plus_minus']} {unit}".strip() if "plus_minus" in spread else ""
    share = f"±{float(spread['relative']) * 100:g} %" if "relative" in spread else ""
    return " or ".join(part for part in (fixed, share) if part)
