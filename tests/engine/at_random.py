"""Inputs of a decision drawn at random, where it matters: at thresholds, just beside them, at the ends, and between."""

from typing import Any

import numpy as np

from opsrisk.engine.conditions import AllOf, AnyOf, Condition, Limit, Not
from opsrisk.engine.decide import inputs_read
from opsrisk.engine.inputs import INPUTS, Configuration, Quantity
from opsrisk.engine.parts import Protocol

Columns = dict[str, np.ndarray[Any, Any]]


def columns(protocol: Protocol, rows: int, seed: int, harmless: float = 0.0) -> Columns:
    """`rows` values for every input that `protocol` reads; each is its most harmless with chance `harmless`."""
    chance = np.random.default_rng(seed)
    drawn = {name: values(protocol, name, rows, chance) for name in inputs_read(protocol)}
    for name, column in drawn.items():
        if harmless and not isinstance(INPUTS[name], Configuration):
            column[chance.random(rows) < harmless] = end(name, "best")
    return drawn


def values(protocol: Protocol, name: str, rows: int, chance: np.random.Generator) -> np.ndarray[Any, Any]:
    """Values of one input: a third spread over its domain, two thirds at or beside what the protocol names."""
    item = INPUTS[name]
    if not isinstance(item, Quantity):
        return chance.integers(0, len(item.values), rows)
    rule = protocol.inputs[name]
    marks = np.array([rule.lowest, rule.highest, *protocol.thresholds.get(name, ())])
    near = chance.choice(marks, rows)
    toward = chance.choice(np.array([-np.inf, 0.0, np.inf]), rows)
    beside = np.where(toward == 0, near, np.nextafter(near, toward))
    beside = np.where(chance.random(rows) < 0.2, near + chance.normal(0, 0.05, rows) * (np.abs(near) + 1), beside)
    anywhere = chance.uniform(rule.lowest, rule.highest, rows)
    return np.clip(np.where(chance.random(rows) < 1 / 3, anywhere, beside), rule.lowest, rule.highest)


def end(name: str, which: str) -> float | int:
    """The most harmless ('best') or the worst value of an input; of a configuration the first or the last."""
    item = INPUTS[name]
    if isinstance(item, Quantity):
        return item.highest if (item.worse == "higher") == (which == "worst") else item.lowest
    return len(item.values) - 1 if which == "worst" else 0


def row(drawn: Columns, place: int) -> dict[str, float | int]:
    """One row of `drawn` as plain numbers."""
    return {name: column[place].item() for name, column in drawn.items()}


def in_order(name: str, first: Any, second: Any) -> tuple[Any, Any]:
    """The two values or columns of input `name`, the more harmless first."""
    item = INPUTS[name]
    low, high = np.minimum(first, second), np.maximum(first, second)
    return (high, low) if isinstance(item, Quantity) and item.worse == "lower" else (low, high)


def making(condition: Condition, choose: int = 0) -> dict[str, float | int]:
    """Inputs at which `condition` holds whatever the others are; `choose` picks among alternatives."""
    if isinstance(condition, AllOf):
        return {name: value for part in condition.parts for name, value in making(part, choose).items()}
    if isinstance(condition, AnyOf):
        return making(condition.parts[choose % len(condition.parts)], choose)
    assert isinstance(condition, Limit) and not isinstance(condition, Not), "the baseline denies nothing"
    if isinstance(condition.value, str):
        return {condition.input: end(condition.input, "worst"), condition.value: end(condition.value, "worst")}
    if condition.comparison == "is":
        return {condition.input: condition.value}
    return {condition.input: end(condition.input, "worst")}
