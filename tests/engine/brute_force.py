"""Looking for what breaks a protocol by deciding a great many situations, without solver, claims or algebra.

It can find and never clear: what it finds the proof must have found, and what the proof says can never
happen it must not see happen.
"""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.conditions import holds
from opsrisk.engine.decide import RULES, Outcome, decide, inputs_read
from opsrisk.engine.findings import Failure
from opsrisk.engine.inputs import DECISIONS, INPUTS, Configuration, Quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.replay import ARRAYS, replay
from opsrisk.engine.rounding import marks
from tests.engine.at_random import columns, end

CONTEXTS, AXIS = 250, 24
Found = dict[str, set[str]]


def search(protocol: Protocol, inputs: tuple[str, ...], seed: int) -> tuple[Found, set[str]]:
    """Violations of (b), (e), (f) and (h) by subject, around `inputs`; and every id that fires or is answered somewhere."""
    chance = np.random.default_rng(seed)
    found: Found = {letter: set() for letter in "befh"}
    graded = [name for name in inputs_read(protocol) if not isinstance(INPUTS[name], Configuration)]
    looked_at = {*(name for name in inputs if name in graded), *chance.choice(graded, 6, replace=False)}
    seen: set[str] = set()
    for name in sorted(looked_at):
        near = [other for other in inputs if other != name]
        drawn = _contexts(protocol, near, int(chance.integers(1 << 30)))
        values = _axis(protocol, name, chance)
        outcomes = [replay(protocol, drawn | {name: np.full(CONTEXTS, value)}) for value in values]
        _compare(protocol, name, outcomes, found)
        seen |= {each for outcome in outcomes for each in happened(outcome)}
    return found, seen


def _contexts(protocol: Protocol, near: list[str], seed: int) -> dict[str, Any]:
    """Situations mostly harmless; the inputs `near` the change vary freely."""
    drawn = columns(protocol, CONTEXTS, seed=seed, harmless=0.96)
    free = columns(protocol, CONTEXTS, seed=seed + 1)
    return drawn | {name: free[name] for name in near if name in free}


def _axis(protocol: Protocol, name: str, chance: Any) -> list[float]:
    """Values of `name` from harmless to worst, a neighbouring stretch of them where there are many; the ends always."""
    item = INPUTS[name]
    if not isinstance(item, Quantity):
        return list(range(len(item.values)))
    at = marks(protocol, name)
    ordered = sorted({*at, *((low + high) / 2 for low, high in pairwise(at))}, reverse=item.worse == "lower")
    start = int(chance.integers(max(1, len(ordered) - AXIS)))
    return [*dict.fromkeys((ordered[0], *ordered[start : start + AXIS], ordered[-1]))]


def _compare(protocol: Protocol, name: str, outcomes: list[Outcome], found: Found) -> None:
    for better, worse in pairwise(outcomes):
        opened = worse.decision < better.decision
        if opened.any():
            found["b"].add(name)
        if (worse.score < better.score).any():
            found["e"].add(name)
        for control in protocol.controls:
            gone = better.fired[control.id] & ~np.asarray(worse.fired[control.id]) & (worse.decision <= better.decision)
            if np.any(gone):
                found["b"].add(control.id)
    rule = protocol.inputs.get(name)
    if rule is None or rule.assumed is None:  # under a waiver unknown is allowed to be better
        unknown = outcomes[-1]
        if any(((unknown.decision < o.decision) | (unknown.score < o.score)).any() for o in outcomes):
            found["f"].add(name)
    if name.startswith("positions."):
        filled, other = outcomes
        if ((other.decision < filled.decision) | (other.score < filled.score)).any():
            found["h"].add(name.split(".")[1])


def happened(outcome: Outcome) -> set[str]:
    fired = {name for name, fires in outcome.fired.items() if np.any(fires)}
    decided = {RULES[place] for place in np.unique(outcome.rule)}
    return fired | decided | {DECISIONS[place] for place in np.unique(outcome.decision)}


def idle_rule_matters(protocol: Protocol, rule: str, inputs: tuple[str, ...], seed: int) -> bool:
    """Whether any situation is decided otherwise without `rule`."""
    others = tuple(other for other in protocol.rules if other.id != rule)
    drawn = _contexts(protocol, list(inputs), seed)
    return bool((replay(protocol, drawn).decision != replay(replace(protocol, rules=others), drawn).decision).any())


def confirmed(protocol: Protocol, letter: str, failure: Failure) -> bool:
    """Whether the situations of `failure` break the property when they are simply decided."""
    if failure.first is None:
        return True
    before = decide(protocol, failure.first.facts, NUMBERS)
    if failure.second is None:
        return letter == "e" and (min(before.points.values()) < 0 or not 0 <= before.score <= 100)
    after = decide(protocol, failure.second.facts, NUMBERS)
    if not all(_no_better(protocol, letter, name, failure) for name in failure.differing):
        return False
    dropped = any(before.fired[c.id] and not after.fired[c.id] for c in protocol.controls)
    opened, lower = after.decision < before.decision, after.score < before.score
    return {"b": opened or (dropped and after.decision == before.decision), "e": lower}.get(letter, opened or lower)


def _no_better(protocol: Protocol, letter: str, name: str, failure: Failure) -> bool:
    assert failure.first and failure.second
    first, second = failure.first.facts[name], failure.second.facts[name]
    if letter == "f":
        rule = protocol.inputs.get(name)
        return second == (end(name, "worst") if rule is None or rule.assumed is None else rule.assumed)
    item = INPUTS[name]
    return second < first if isinstance(item, Quantity) and item.worse == "lower" else second > first


def condition_seen(protocol: Protocol, inputs: tuple[str, ...], seed: int) -> set[str]:
    """Ids of combinations and notes, which an outcome does not list, that hold somewhere."""
    drawn = _contexts(protocol, list(inputs), seed)
    parts = (*protocol.combinations, *protocol.notes)
    return {part.id for part in parts if np.any(holds(part.when, drawn, ARRAYS))}
