"""What the desk shows of revisions signed apart, and of the conditions log: read from the records, nothing decided."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from itertools import combinations
from typing import Any

from opsrisk.assessment import commander
from opsrisk.assessment.merge import merge
from opsrisk.assessment.told import ITEM_WORDS
from opsrisk.assessment.words import input_label
from opsrisk.operations.models import Assessment, Decision, LogEntry, Operation

WORDS = dict(Decision.choices)


def pairs(operation: Operation) -> list[dict[str, Any]]:
    """Each two revisions that both stand, with what they share and where they differ."""
    standing = list(operation.assessments.current().order_by("received_at").select_related("made_by"))
    return [_pair(operation, one, other) for one, other in combinations(standing, 2)]


def _pair(operation: Operation, one: Assessment, other: Assessment) -> dict[str, Any]:
    base = operation.assessments.filter(digest=one.previous).first() if one.previous == other.previous else None
    common = _situation(base) if base else None
    found = merge(common, _situation(one), _situation(other))
    turned = merge(common, _situation(other), _situation(one))
    alone = ((one, turned["taken"]), (other, found["taken"]))
    return {
        "one": one,
        "other": other,
        "base": base,
        "conflicts": [_row(each) for each in found["conflicts"]],
        "alone": [(row.made_by, [_taken(each) for each in taken]) for row, taken in alone],
    }


def log_rows(operation: Operation) -> Iterator[dict[str, Any]]:
    """The lines in the order in which they arrived; a recall with how long it took until somebody had heard it."""
    lines = list(operation.log.select_related("received_by").order_by("entry"))
    heard: dict[str, list[int]] = {}
    for line in lines:
        if line.kind == LogEntry.Kind.ACKNOWLEDGED:
            content = json.loads(line.text)["content"]
            heard.setdefault(content["recall"], []).append(content["after_s"])
    for line in lines:
        words = _words(line.kind, json.loads(line.text)["content"])
        times = sorted(heard.get(str(line.pk), []))
        unheard = line.kind == LogEntry.Kind.RECALL and not times
        yield {"line": line, "words": words, "heard": times, "unheard": unheard}


def _words(kind: str, content: dict[str, Any]) -> str:
    return IN_WORDS[LogEntry.Kind(kind)](content)


def _read_back(content: dict[str, Any]) -> str:
    return "Said back: " + "; ".join(_said(words, content[item]) for item, words in ITEM_WORDS.items())


def _commander(content: dict[str, Any]) -> str:
    answer = "accepts" if content["accepts"] else "does not accept"
    said = "; ".join(_said(words, content[item]) for item, words in commander.ITEM_WORDS.items())
    return f"Incident commander {content['name']} {answer} the risk: {said}"


IN_WORDS: dict[LogEntry.Kind, Callable[[dict[str, Any]], str]] = {
    LogEntry.Kind.READING: lambda of: f"{input_label(of['field'])}: {_value(of['reading'])}",
    LogEntry.Kind.RECALL: lambda of: f"Recall: from {WORDS[of['from']]} to {WORDS[of['to']]}. {of['because']}",
    LogEntry.Kind.ACKNOWLEDGED: lambda of: f"Recall heard after {of['after_s']} s",
    LogEntry.Kind.BRIEFING: lambda of: f"Briefing begun, {len(of['present'])} present",
    LogEntry.Kind.READ_BACK: _read_back,
    LogEntry.Kind.COMMANDER: _commander,
    LogEntry.Kind.PHOTO: lambda of: f"Photo: {of['caption']}",
}


def _said(item: str, given: dict[str, Any]) -> str:
    return f'{item.lower()} "{given["said"]}"{"" if given["right"] else " (not as on the sheet)"}'


def _situation(row: Assessment) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(row.record)["situation"]
    return found


def _row(conflict: dict[str, Any]) -> dict[str, Any]:
    shown = {name: _value(conflict[name]) for name in ("base", "mine", "theirs", "stands")}
    return conflict | shown


def _taken(change: dict[str, Any]) -> dict[str, Any]:
    return change | {"before": _value(change["before"]), "now": _value(change["now"])}


def _value(given: Any) -> str:
    """A value in words: a quantity with unit and how it was had, a choice, or the parts of a position."""
    if given is None:
        return "not given"
    if not isinstance(given, dict):
        return str(given).replace("_", " ")
    if "value" in given:
        words = [f"{given['value']} {given.get('unit', '')}".strip(), given.get("how", "")]
        if "low" in given:
            words.append(f"between {given['low']} and {given['high']}")
        return ", ".join(word for word in words if word)
    return "; ".join(
        f"{name.replace('_', ' ')}: {_value(value)}" for name, value in given.items() if name not in {"id"}
    )
