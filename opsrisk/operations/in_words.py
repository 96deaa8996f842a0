"""A signed record in the words of the questions: labels, names, one clock. Nothing is worked out, nothing left out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from opsrisk.assessment.settling import good_enough
from opsrisk.assessment.words import (
    POSITION_NAMES,
    UNKNOWN,
    Clock,
    choice_word,
    in_order,
    input_label,
    number,
    one_line,
    plain,
    quantity,
    short_word,
)
from opsrisk.engine.inputs import STATES

Json = Mapping[str, Any]
GROUPS = {  # in the order of the questions
    "task": "Task",
    "site": "Place",
    "hazards": "Hazards",
    "dive": "Dive",
    "support": "Support",
    "vehicle": "Vehicle",
}
TABLES = {"format", "assessed_at", "readings", "positions", "people"}


def in_words(record: Json, names: Mapping[str, str]) -> dict[str, Any]:
    """The answers of `record`, group by group; `names` are those of the signatures and the roster."""
    situation, answer = record["situation"], record["decision"]
    clock = Clock.of(situation.get("assessed_at"))
    named = {str(one["id"]): one_line(one["name"]) for one in _people(situation) if one.get("id") and one.get("name")}
    named = {**names, **named}
    return {
        "clock": clock,
        "readings": list(_readings(situation, clock)),
        "groups": list(_groups(situation, clock)),
        "positions": list(_positions(situation, named)),
        "people": list(_crew(situation)),
        "margins": list(_margins(answer)),
        "best": short_word(answer["best"]),
        "worst": short_word(answer["worst"]),
        "settle_by": input_label(answer["settle_by"]) if answer.get("settle_by") else "",
        "good_enough": good_enough(answer),
    }


def _readings(situation: Json, clock: Clock) -> Iterator[dict[str, str]]:
    for name, given in in_order("readings", _table(situation.get("readings"))):
        entry = _table(given)
        unit = entry.get("unit", "")
        span = [number(entry[end]) for end in ("low", "high") if end in entry]
        yield {
            "label": input_label(f"readings.{name}"),
            "value": quantity(given),
            "span": f"{' to '.join(span)} {unit}" if span else "",
            "how": " ".join(part for part in (entry.get("how", ""), _by(entry)) if part),
            "at": clock.short(entry["at"]) if entry.get("at") else "",
        }


def _by(entry: Json) -> str:
    return f"by {one_line(entry['by'])}" if entry.get("by") else ""


def _groups(situation: Json, clock: Clock) -> Iterator[dict[str, Any]]:
    """What is neither a reading nor a table; a group that this version does not know comes last, under its own name."""
    known = [name for name in GROUPS if name in situation]
    for group in (*known, *(name for name in situation if name not in {*GROUPS, *TABLES})):
        given = situation[group]
        title = GROUPS.get(group, plain(group))
        if isinstance(given, Mapping):
            rows = [row for name, value in in_order(group, given) for row in _row(f"{group}.{name}", value, clock)]
        else:
            rows = [(title, "none" if given is None else choice_word(group, given))]
        yield {"title": title, "rows": rows}


def _row(path: str, value: Any, clock: Clock) -> Iterator[tuple[str, str]]:
    label = input_label(path)
    if isinstance(value, Mapping) and "unit" in value:
        how = " ".join(part for part in (value.get("how", ""), _by(value)) if part)
        yield label, quantity(value) + (f", {how}" if how else "")
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            for under, text in _row(f"{path}.{name}", inner, clock):
                yield f"{label}: {under.lower()}", text
    elif isinstance(value, list | tuple):
        yield label, "; ".join(one_line(one) for one in value) or "none"
    elif path.endswith(("_at", "_ends")) and value not in (None, UNKNOWN):
        yield label, clock.stamp(value)
    else:
        yield label, "none" if value is None else choice_word(path, value)


def _positions(situation: Json, names: Mapping[str, str]) -> Iterator[dict[str, Any]]:
    given = _table(situation.get("positions"))
    for name in sorted(given, key=lambda one: list(POSITION_NAMES).index(one) if one in POSITION_NAMES else 99):
        entry = _table(given[name])
        who = entry.get("person")
        yield {
            "label": POSITION_NAMES.get(name, plain(name)),
            "person": names.get(str(who), one_line(who)) if who and who != UNKNOWN else "nobody named",
            "states": [choice_word("", entry.get(state)) for state in STATES],
        }


def _crew(situation: Json) -> Iterator[dict[str, str]]:
    for one in _people(situation):
        listed = one.get("qualifications")
        roles = [POSITION_NAMES.get(role, plain(role)) for role in listed] if isinstance(listed, list | tuple) else []
        yield {
            "name": one_line(one.get("name") or one.get("id") or "not named"),
            "fit": choice_word("", one.get("fit")),
            "awake": quantity(one.get("hours_awake")),
            "dives": quantity(one.get("dives_24h")),
            "roles": ", ".join(roles) if isinstance(listed, list | tuple) else "not known",
        }


def _margins(answer: Json) -> Iterator[dict[str, str]]:
    for one in answer.get("margins", []):
        unit = one.get("unit") or ""
        turns = [_turn(one[way], unit) for way in ("worse", "better") if one.get(way)]
        yield {"label": one["label"], "now": one["now"], "turns": "; ".join(turns)}


def _turn(change: Json, unit: str) -> str:
    at = "just beyond" if change.get("beyond") else "at"
    value = number(change["value"]).replace("_", " ")
    return f"{short_word(change['decision'])} {at} {value} {unit}".strip()


def _people(situation: Json) -> list[Json]:
    found = situation.get("people")
    return [one for one in found if isinstance(one, Mapping)] if isinstance(found, list | tuple) else []


def _table(value: Any) -> Json:
    return value if isinstance(value, Mapping) else {}
