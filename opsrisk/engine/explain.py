"""Why: what fired, with the reading, the limit and the source of the limit."""

import itertools
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Any

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.conditions import Limit, limits_that_hold
from opsrisk.engine.decide import Outcome
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.parts import Factor, Protocol, Rule
from opsrisk.engine.readings import Fact, Value
from opsrisk.reference.units import decimal_string, from_si, to_si

Facts = Mapping[str, Fact]

WORDS = {
    "worse_than": "worse than",
    "as_bad_as": "as bad as",
    "better_than": "better than",
    "no_worse_than": "no worse than",
    "is": "",
}


def fired(protocol: Protocol, outcome: Outcome, effects: tuple[str, ...]) -> tuple[Rule, ...]:
    """The rules with one of `effects` that fired, in the protocol's order."""
    return tuple(rule for rule in protocol.rules if rule.effect in effects and outcome.fired[rule.id])


def explain_rule(rule: Rule, at: Mapping[str, Value], facts: Facts) -> dict[str, Any]:
    """One fired rule as the decision document shows it."""
    held = list(dict.fromkeys(limits_that_hold(rule.when, at, NUMBERS)))
    return {
        "id": rule.id,
        "text": rule.text,
        "reading": "; ".join(f"{INPUTS[limit.input].label}: {facts[limit.input].shown}" for limit in held),
        "limit": "; ".join(limit_words(limit, facts) for limit in held),
        "inputs": [limit.input for limit in held],
        "source": rule.source.words,
        "effect": rule.effect,
        "absolute": rule.absolute,
    }


def limit_words(limit: Limit, facts: Facts) -> str:
    """A limit as a person says it: 'over 1.0 kn', 'under 5 ft', 'moderate or worse'."""
    item = INPUTS[limit.input]
    if not isinstance(item, Quantity):
        named = limit.given.replace("_", " ")
        last = limit.comparison == "as_bad_as" and limit.value != len(item.values) - 1
        return (
            f"{named} or worse"
            if last
            else f"{WORDS[limit.comparison]} {named}".strip()
            if limit.comparison != "as_bad_as"
            else named
        )
    beyond = {
        ("worse_than", "higher"): "over",
        ("worse_than", "lower"): "under",
        ("as_bad_as", "higher"): "from",
        ("as_bad_as", "lower"): "at or under",
    }
    word = beyond.get((limit.comparison, item.worse), WORDS[limit.comparison])
    if isinstance(limit.value, str):
        return f"{word} {INPUTS[limit.value].label.lower()} ({facts[limit.value].shown})"
    return f"{word} {limit.given} {limit.unit}".strip()


def point_lines(protocol: Protocol, outcome: Outcome, facts: Facts) -> Iterator[dict[str, Any]]:
    """Every factor and combination that adds points, with the reading and the band it lies in."""
    for factor in protocol.factors:
        points = outcome.points[factor.id]
        if points:
            fact = facts[factor.input]
            line = {"factor": factor.id, "label": INPUTS[factor.input].label, "points": points, "reading": fact.shown}
            yield line | {"band": band(factor, fact.value), "source": factor.source.words}
    for extra in protocol.combinations:
        if outcome.points[extra.id]:
            line = {"factor": extra.id, "label": extra.text, "points": outcome.points[extra.id], "reading": ""}
            yield line | {"band": "together", "source": extra.source.words}


def band(factor: Factor, value: Value) -> str:
    """The stretch of the factor's breakpoints that `value` lies in, as printed: '0.8 to 1.0 kn: 12 to 20'."""
    item = INPUTS[factor.input]
    if not isinstance(item, Quantity):
        return factor.breakpoints[int(value)][0].replace("_", " ")
    sign, unit = factor.steps.sign, f" {factor.unit}" if factor.unit else ""
    marks = [(sign * to_si(text, factor.unit), text, total) for text, total in factor.breakpoints]
    signed = sign * value
    if signed <= marks[0][0]:
        return f"{marks[0][1]}{unit} or {'less' if sign > 0 else 'more'}: {marks[0][2]}"
    for (_, near, low), (end, far, high) in itertools.pairwise(marks):
        if signed <= end:
            return f"{near} to {far}{unit}: {low} to {high}"
    return f"{marks[-1][1]}{unit} or {'more' if sign > 0 else 'less'}: {marks[-1][2]}"


def controls(protocol: Protocol, outcome: Outcome) -> tuple[Rule, ...]:
    return tuple(control for control in protocol.controls if outcome.fired[control.id])


def shown_value(name: str, value: Value, unit: str) -> str:
    """A value on the scale of `name` with a sensible number of decimals, as a decimal string."""
    item = INPUTS[name]
    if not isinstance(item, Quantity):
        return item.values[int(value)]
    return from_si(value, unit or item.si, _places(unit))


def shown_margin(name: str, value: Value, unit: str) -> str:
    """As `shown_value`, but never past the exact value: who goes by the number stops a little sooner, not later."""
    shown = shown_value(name, value, unit)
    item = INPUTS[name]
    if not isinstance(item, Quantity):
        return shown
    past = to_si(shown, unit) - value if item.worse == "higher" else value - to_si(shown, unit)
    if past <= 0:
        return shown
    step = Fraction(1, 10 ** _places(unit)) * (-1 if item.worse == "higher" else 1)
    return decimal_string(Fraction(shown) + step, _places(unit))


def _places(unit: str) -> int:
    return 2 if unit in ("kn", "m/s", "m") else 1
