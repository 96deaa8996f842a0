"""The baseline with one thing changed at random, as a slip or a whim would change it."""

import json
from random import Random
from typing import Any

from opsrisk.engine.inputs import INPUTS, Configuration, Quantity
from opsrisk.engine.parts import EFFECTS, Protocol
from opsrisk.engine.protocol import ProtocolRefused, read_protocol
from opsrisk.protocols.shipped import BASELINE

COMPARISONS = ("worse_than", "as_bad_as", "better_than", "no_worse_than", "is")
PARTS = ("rules", "rules", "combinations", "controls", "notes")  # rules weigh more


def mutated(seed: int) -> tuple[Protocol, str, tuple[str, ...]]:
    """A protocol that can be read, what was changed, and the inputs of the part that was changed."""
    chance = Random(seed)
    while True:
        document = json.loads(BASELINE.read_text())
        words, inputs = chance.choice(KINDS)(document, chance)
        if document == json.loads(BASELINE.read_text()):
            continue
        try:
            return read_protocol(json.dumps(document)), words, inputs
        except ProtocolRefused:
            continue  # the reader's own tests are about these


def _limits(condition: Any) -> list[dict[str, Any]]:
    if "input" in condition:
        return [condition]
    parts = [condition["not"]] if "not" in condition else condition.get("all") or condition["any"]
    return [limit for part in parts for limit in _limits(part)]


def _inputs(condition: Any) -> tuple[str, ...]:
    named = [limit["input"] for limit in _limits(condition)]
    return tuple(
        dict.fromkeys(
            named + [v["input"] for limit in _limits(condition) for v in limit.values() if isinstance(v, dict)]
        )
    )


def _part(document: dict[str, Any], chance: Random) -> dict[str, Any]:
    return chance.choice([entry for part in PARTS for entry in document[part]])


def _limit(document: dict[str, Any], chance: Random) -> tuple[dict[str, Any], dict[str, Any], str]:
    entry = _part(document, chance)
    limit = chance.choice(_limits(entry["when"]))
    return entry, limit, next(word for word in COMPARISONS if word in limit)


def _scaled(value: str, chance: Random) -> str:
    return f"{float(value) * chance.choice((0.0, 0.3, 0.7, 0.95, 1.05, 1.5, 3.0, 10.0)):.3f}"


def another_number(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    entry, limit, word = _limit(document, chance)
    item = INPUTS[limit["input"]]
    if isinstance(limit[word], dict):
        return compared_otherwise(document, chance)
    was = limit[word]
    limit[word] = _scaled(was, chance) if isinstance(item, Quantity) else chance.choice(item.values)
    return f"{entry['id']}: {item.name} {was} becomes {limit[word]}", _inputs(entry["when"])


def compared_otherwise(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    entry, limit, word = _limit(document, chance)
    other = chance.choice(COMPARISONS)
    limit[other] = limit.pop(word)
    return f"{entry['id']}: {word} becomes {other}", _inputs(entry["when"])


def turned_round(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    entry, limit, _ = _limit(document, chance)
    kept = dict(limit)
    limit.clear()
    limit["not"] = kept
    return f"{entry['id']}: a limit denied", _inputs(entry["when"])


def joined_otherwise(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    entry = chance.choice([e for part in PARTS for e in document[part] if set(e["when"]) & {"all", "any"}])
    old = next(iter(entry["when"]))
    entry["when"] = {"any" if old == "all" else "all": entry["when"][old]}
    return f"{entry['id']}: {old} turned round", _inputs(entry["when"])


def another_condition(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    entry, extra = _part(document, chance), dict(_limit(document, chance)[1])
    if chance.random() < 0.5:
        extra = {"not": extra}
    entry["when"] = {chance.choice(("all", "any")): [entry["when"], extra]}
    return f"{entry['id']}: a condition more", _inputs(entry["when"])


def another_effect(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    entry = chance.choice(document["rules"])
    was, entry["effect"] = entry["effect"], chance.choice(EFFECTS)
    return f"{entry['id']}: {was} becomes {entry['effect']}", _inputs(entry["when"])


def one_less(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    part = chance.choice(PARTS)
    entry = document[part].pop(chance.randrange(len(document[part])))
    return f"{entry['id']} removed", _inputs(entry["when"])


def one_twice(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    entry = json.loads(json.dumps(chance.choice(document["rules"])))
    entry["id"] += "_again"
    limit = chance.choice(_limits(entry["when"]))
    word = next(word for word in COMPARISONS if word in limit)
    if isinstance(limit[word], str) and isinstance(INPUTS[limit["input"]], Quantity):
        limit[word] = _scaled(limit[word], chance)
    document["rules"].append(entry)
    return f"{entry['id']} added", _inputs(entry["when"])


def points_swapped(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    factor = chance.choice(document["factors"])
    place = chance.randrange(len(factor["points"]) - 1)
    near, far = factor["points"][place], factor["points"][place + 1]
    near[1], far[1] = far[1], near[1]
    return f"{factor['id']}: points of {near[0]} and {far[0]} swapped", (factor["input"],)


def other_points(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    factor = chance.choice(document["factors"])
    point = chance.choice(factor["points"])
    point[1] = str(chance.choice((-4, 0, 1, 9, 25, 60)))
    return f"{factor['id']}: {point[1]} points at {point[0]}", (factor["input"],)


def other_points_together(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    extra = chance.choice(document["combinations"])
    extra["points"] = str(chance.choice((-5, 0, 1, 20, 50)))
    return f"{extra['id']}: {extra['points']} points", _inputs(extra["when"])


def another_line(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    name = chance.choice(tuple(document["lines"]))
    document["lines"][name]["value"] = str(chance.randint(0, 110))
    return f"line {name} at {document['lines'][name]['value']}", ()


def another_input(document: dict[str, Any], chance: Random) -> tuple[str, tuple[str, ...]]:
    entry, limit, _ = _limit(document, chance)
    was = INPUTS[limit["input"]]
    alike = [
        item.name
        for item in INPUTS.values()
        if type(item) is type(was) and not isinstance(item, Configuration)
        and (item.si == was.si if isinstance(item, Quantity) else item.values == was.values)
    ]  # fmt: skip
    if alike:
        limit["input"] = chance.choice(alike)
    return f"{entry['id']}: {was.name} becomes {limit['input']}", _inputs(entry["when"])


KINDS = (
    another_number, another_number, compared_otherwise, turned_round, joined_otherwise, another_condition, another_effect,
    one_less, one_twice, points_swapped, other_points, other_points_together, another_line, another_input,
)  # fmt: skip
