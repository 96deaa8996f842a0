"""What must be able to happen under a protocol: properties (d) and (i), as claims over the algebra.

A rule that can never fire, and a limit on which nothing depends, look like protection and are none.
"""

from collections.abc import Iterator
from functools import partial
from itertools import pairwise
from typing import Any

from opsrisk.engine.claims import Obligation, crosses, unequal
from opsrisk.engine.conditions import Condition, Limit, limits
from opsrisk.engine.decide import RULES
from opsrisk.engine.inputs import DECISIONS, INPUTS
from opsrisk.engine.looks import Look
from opsrisk.engine.parts import Factor, Protocol, Rule

OPPOSITES = {
    "worse_than": "no_worse_than",
    "no_worse_than": "worse_than",
    "as_bad_as": "better_than",
    "better_than": "as_bad_as",
}
LINES = ("line_divers", "line_nobody_to_save", "line_rescue")


def everything_can_happen(protocol: Protocol) -> Iterator[Obligation]:
    """(d) Each rule, combination, control and note fires somewhere; each rule of `decide` and each answer comes out."""
    for rule in (*protocol.rules, *protocol.combinations, *protocol.controls, *protocol.notes):
        words = f"'{rule.id}' can never fire"
        yield Obligation("d", rule.id, False, partial(_fires, rule.when), words, alone=True)
    for place, name in enumerate(RULES):
        yield Obligation("d", name, False, partial(_decides, place), f"The rule '{name}' never decides")
    for place, name in enumerate(DECISIONS):
        yield Obligation("d", name, False, partial(_answers, place), f"The answer '{name}' is never given")


def _fires(condition: Condition, look: Look) -> Any:
    return look.holds_before(condition)


def _decides(place: int, look: Look) -> Any:
    return look.before.rule == place


def _answers(place: int, look: Look) -> Any:
    return look.before.decision == place


def everything_matters(protocol: Protocol) -> Iterator[Obligation]:
    """(i) Each limit switches the rule that names it; each rule, stretch of points and line changes an answer."""
    for rule in (*protocol.rules, *protocol.combinations, *protocol.controls, *protocol.notes):
        for limit in dict.fromkeys(limits(rule.when)):
            yield _limit_switches(rule, limit)
    for rule in protocol.rules:
        words = f"'{rule.id}' changes no decision: whatever it closes is closed without it"
        others = tuple(other.id for other in protocol.rules if other.absolute and other is not rule)
        claim = partial(_changes_the_decision, rule.id, others if rule.absolute else None)
        fires = partial(_fires, rule.when)
        yield Obligation("i", rule.id, False, claim, words, about=_named(rule), instead=fires)
    for extra in protocol.combinations:
        words = f"'{extra.id}' changes no score"
        yield Obligation("i", extra.id, False, partial(_changes_the_score, extra.id), words, about=_named(extra))
    for factor in protocol.factors:
        yield from _points_count(factor)
    for line in LINES:
        words = f"No situation that scores just over the line '{line.removeprefix('line_')}' is decided by it"
        yield Obligation("i", line, False, partial(_line_decides, line), words)


def _named(rule: Rule) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for limit in limits(rule.when) for name in limit.names))


def _limit_switches(rule: Rule, limit: Limit) -> Obligation:
    """Crossing `limit` alone, and no other limit on that reading in `rule`, somewhere switches `rule`."""
    others = tuple(
        other
        for other in limits(rule.when)
        if other != limit
        and limit.input in other.names
        # 'Over 3 ft' and 'not over 3 ft' are one limit written twice: they can only switch together.
        and (other.value, other.comparison) != (limit.value, OPPOSITES.get(limit.comparison))
    )
    given = f"{limit.given.replace('_', ' ')} {limit.unit}".strip()
    words = f"'{rule.id}' never depends on its limit '{INPUTS[limit.input].label}: {given}'"
    claim = partial(_switches, rule.when, limit, others)
    crossing = partial(_crosses_alone, limit, others)
    return Obligation("i", rule.id, False, claim, words, (limit.input,), instead=crossing, alone=True)


def _switches(condition: Condition, limit: Limit, others: tuple[Limit, ...], look: Look) -> Any:
    return look.ops.all_of([_crosses_alone(limit, others, look), crosses(look, condition)])


def _crosses_alone(limit: Limit, others: tuple[Limit, ...], look: Look) -> Any:
    return look.ops.all_of([crosses(look, limit), *(look.ops.no(crosses(look, other)) for other in others)])


def _changes_the_decision(rule: str, absolutes: tuple[str, ...] | None, look: Look) -> Any:
    """Whether this situation is decided otherwise without the rule, or it alone forbids to decide otherwise by hand."""
    changes = unequal(look, look.before.decision, look.without(rule).decision)
    if absolutes is None:
        return changes
    others = look.ops.any_of([look.before.fired[other] for other in absolutes])
    return look.ops.any_of([changes, look.ops.all_of([look.before.fired[rule], look.ops.no(others)])])


def _changes_the_score(extra: str, look: Look) -> Any:
    return unequal(look, look.before.score, look.without(extra).score)


def _points_count(factor: Factor) -> Iterator[Obligation]:
    """Each stretch between two breakpoints with different points can be crossed, and that changes the score."""
    stretches = [(near, far) for near, far in pairwise(factor.breakpoints) if near[1] != far[1]]
    if not stretches:
        words = f"'{factor.id}' gives the same points whatever is read"
        yield Obligation("i", factor.id, False, partial(_nowhere), words)
    for near, far in stretches:
        words = f"'{factor.id}' from {near[0]} to {far[0]} {factor.unit}: no reading crosses it and changes the score"
        crossing = partial(_points_change, factor.id, near[1], far[1])
        yield Obligation("i", factor.id, False, crossing, words, (factor.input,), about=(factor.input,))


def _nowhere(look: Look) -> Any:
    return look.ops.any_of([])


def _points_change(part: str, low: int, high: int, look: Look) -> Any:
    ours, other = look.before, look.after
    return look.ops.all_of(
        [ours.points[part] == low, other.points[part] == high, unequal(look, ours.score, other.score)]
    )


def _line_decides(line: str, look: Look) -> Any:
    return unequal(look, look.before.decision, look.with_line(line, 1).decision)
