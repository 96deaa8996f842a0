"""What must be true of a protocol before anyone may adopt it, as claims over the algebra.

Nothing here knows a solver. `obligations` turns the nine properties into single claims about one
protocol: these say what must never happen, those in `reachable` what must be able to happen.
"""

from collections.abc import Iterator
from functools import partial
from typing import Any

from opsrisk.engine.claims import Obligation, better, graded_inputs, less_cautious, made_worse, score_lower
from opsrisk.engine.conditions import Condition, limits
from opsrisk.engine.decide import OWNED, RESCUE, SCORE_CAP, Outcome, inputs_read
from opsrisk.engine.inputs import (
    DIVERS,
    DIVERS_WITH_CONTROLS,
    HOLD,
    INPUTS,
    POSITIONS,
    VEHICLE_FIRST,
    VEHICLE_ONLY,
    Configuration,
    Quantity,
)
from opsrisk.engine.looks import Look
from opsrisk.engine.parts import Protocol, Rule
from opsrisk.engine.reachable import everything_can_happen, everything_matters

PROPERTIES = {
    "a": "every input has exactly one decision",
    "b": "no reading made worse, alone or with others, makes the decision less cautious or drops a control",
    "c": "no stop is ever outvoted",
    "d": "every rule can fire, and every answer can be given",
    "e": "points are never negative, and a worse reading never lowers the score",
    "f": "not knowing a reading is never better than knowing it",
    "g": "the score alone never opens what a stop or a trigger closed",
    "h": "a position unfilled, unready, unqualified or sharing its duty is never better than a filled one",
    "i": "every limit, line and point is a place where something changes, and every rule changes an answer",
}

# What each rule of `decide` may answer, by its place in RULES.
ANSWERS = (
    (HOLD,),
    (HOLD,),
    (VEHICLE_ONLY, HOLD),
    (DIVERS_WITH_CONTROLS, VEHICLE_FIRST, HOLD),
    (DIVERS_WITH_CONTROLS,),
    (VEHICLE_ONLY, HOLD),
    (DIVERS_WITH_CONTROLS,),
    (DIVERS,),
)


def obligations(protocol: Protocol) -> Iterator[Obligation]:
    """Every claim that makes up properties (a) to (i) for `protocol`, in that order."""
    yield from _one_decision()
    yield from _worse_is_never_less_cautious(protocol)
    yield from _stops_are_never_outvoted(protocol)
    yield from everything_can_happen(protocol)
    yield from _points_only_rise(protocol)
    yield from _unknown_is_never_better(protocol)
    yield from _no_score_opens(protocol)
    yield from _positions(protocol)
    yield from everything_matters(protocol)


def shared_claims(protocol: Protocol, other: Protocol) -> frozenset[Any]:
    """The keys of the claims that hold of `protocol` if they hold of `other`: what an edit need not check again.

    All of them if nothing that decides differs (words, sources, owners and re-check times do not decide).
    """
    theirs = list(obligations(other))
    if _what_decides(protocol) == _what_decides(other):
        return frozenset(claim.key for claim in theirs)
    return frozenset(claim.key for claim in theirs if claim.alone)


def _what_decides(protocol: Protocol) -> Any:
    """All of a protocol that `decide` and the claims look at."""
    read = graded_inputs(protocol)
    return (
        [(rule.id, rule.effect, rule.when) for rule in protocol.rules],
        [(extra.id, extra.points, extra.when) for extra in protocol.combinations],
        [(control.id, control.serves, control.when) for control in protocol.controls],
        [(note.id, note.when) for note in protocol.notes],
        [(factor.id, factor.input, factor.steps) for factor in protocol.factors],
        (protocol.line_divers, protocol.line_nobody_to_save, protocol.line_rescue),
        [(name, assumed(protocol, name), waiver(protocol, name)) for name in read],
    )


def _one_decision() -> Iterator[Obligation]:
    """(a) Some rule decides, and gives an answer that it may give."""
    words = "This situation has no decision, or one that its rule cannot give"
    yield Obligation("a", "decision", True, partial(_undecided), words)


def _undecided(look: Look) -> Any:
    ops, given = look.ops, look.before
    fits = [
        ops.all_of([given.rule == place, ops.any_of([given.decision == answer for answer in answers])])
        for place, answers in enumerate(ANSWERS)
    ]
    return ops.no(ops.any_of(fits))


def _worse_is_never_less_cautious(protocol: Protocol) -> Iterator[Obligation]:
    """(b) One reading at a time, whatever all the others are.

    That covers readings made worse together: go from the better situation to the worse one reading at a
    time. Every stop on the way is a situation too, since each input has a range of its own, and no step may
    make the decision less cautious. Configurations stay the same on the way, so it is proven within each.
    """
    for name in graded_inputs(protocol):
        words = f"{INPUTS[name].label} made worse makes the decision less cautious"
        yield Obligation("b", name, True, partial(_opens, name), words, (name,))
    for control in protocol.controls:
        for name in _graded_in(control):
            words = f"{INPUTS[name].label} made worse drops the control '{control.id}'"
            yield Obligation("b", control.id, True, partial(_drops, control.when, name), words, (name,))


def _opens(name: str, look: Look) -> Any:
    return look.ops.all_of([made_worse(look, name), less_cautious(look)])


def _graded_in(control: Rule) -> tuple[str, ...]:
    named = dict.fromkeys(name for limit in limits(control.when) for name in limit.names)
    return tuple(name for name in named if not isinstance(INPUTS[name], Configuration))


def _drops(control: Condition, name: str, look: Look) -> Any:
    """Whether a control called for at the better reading is gone at the worse one, and no stricter decision came."""
    ops = look.ops
    gone = [look.holds_before(control), ops.no(look.holds_after(control))]
    return ops.all_of([made_worse(look, name), *gone, ops.no(look.after.decision > look.before.decision)])


def _stops_are_never_outvoted(protocol: Protocol) -> Iterator[Obligation]:
    """(c) Whatever else holds, a stop that fires is obeyed."""
    for rule in protocol.rules:
        if rule.effect in ("missing", "stop_everybody", "stop_divers"):
            words = f"The stop '{rule.id}' fires and is not obeyed"
            yield Obligation("c", rule.id, True, partial(_outvoted, rule.id, rule.effect), words)


def _outvoted(rule: str, effect: str, look: Look) -> Any:
    return look.ops.all_of([look.before.fired[rule], _lets_in(look, look.before, effect)])


def _lets_in(look: Look, given: Outcome, effect: str) -> Any:
    """Whether the decision `given` is less cautious than a fired rule of `effect` allows."""
    ops, able = look.ops, given.vehicle_able
    if effect in ("missing", "stop_everybody"):
        return given.decision < HOLD
    if effect == "stop_divers":
        return given.decision < ops.where(able, VEHICLE_ONLY, HOLD)
    owned, rescue = look.first["vehicle.owned"] == OWNED, look.first["task.gain"] == RESCUE
    on_foot = HOLD if effect == "trigger_that_holds" else DIVERS_WITH_CONTROLS
    closed = ops.where(owned, ops.where(able, VEHICLE_FIRST, HOLD), on_foot)
    return ops.all_of([ops.no(rescue), given.decision < closed])


def _points_only_rise(protocol: Protocol) -> Iterator[Obligation]:
    """(e) No points below nothing, no score off its scale; and one reading at a time, as in (b), none lowers it."""
    words = f"The score is not between 0 and {SCORE_CAP}"
    yield Obligation("e", "score", True, partial(_off_the_scale), words)
    for part in [part.id for part in protocol.factors] + [part.id for part in protocol.combinations]:
        yield Obligation("e", part, True, partial(_negative, part), f"'{part}' gives points below nothing")
    for name in graded_inputs(protocol):
        words = f"{INPUTS[name].label} made worse lowers the score"
        yield Obligation("e", name, True, partial(_lowers, name), words, (name,))


def _off_the_scale(look: Look) -> Any:
    return look.ops.any_of([look.before.score < 0, look.before.score > SCORE_CAP])


def _negative(part: str, look: Look) -> Any:
    return look.before.points[part] < 0


def _lowers(name: str, look: Look) -> Any:
    return look.ops.all_of([made_worse(look, name), score_lower(look)])


def assumed(protocol: Protocol, name: str) -> float | int:
    """What the engine assumes of `name` when nobody knows it (see `readings`)."""
    item, rule = INPUTS[name], protocol.inputs.get(name)
    if not isinstance(item, Quantity):
        return len(item.values) - 1
    if rule and rule.assumed is not None:
        return rule.assumed
    least, most = (rule.lowest, rule.highest) if rule else (item.lowest, item.highest)
    return most if item.worse == "higher" else least


def waiver(protocol: Protocol, name: str) -> str | None:
    """The waiver under which `name` may be unknown and yet not be taken for the worst."""
    rule = protocol.inputs.get(name)
    return rule.waiver if rule else None


def _unknown_is_never_better(protocol: Protocol) -> Iterator[Obligation]:
    """(f) Against every known value that a situation may state.

    Under a waiver only against known values that are no worse than what the waiver assumes. (An unstated
    configuration needs no proof: all its values are tried and the most cautious decision stands.)
    """
    for name in graded_inputs(protocol):
        instead, waived = assumed(protocol, name), waiver(protocol, name) is not None
        words = f"{INPUTS[name].label} not known is better than known"
        yield Obligation("f", name, True, partial(_better_unknown, name, instead, waived), words, (name,))


def _better_unknown(name: str, instead: float | int, waived: bool, look: Look) -> Any:
    parts = [look.second[name] == instead, better(look)]
    if waived:
        parts.append(made_worse(look, name))
    return look.ops.all_of(parts)


def _no_score_opens(protocol: Protocol) -> Iterator[Obligation]:
    """(g) As (c), and for triggers too, with the score free to be anything, whatever the points say."""
    for rule in protocol.rules:
        if rule.effect != "vehicle_unable":
            words = f"A score opens what '{rule.id}' closed"
            yield Obligation(
                "g", rule.id, True, partial(_opened_by_a_score, rule.id, rule.effect), words, any_score=True
            )


def _opened_by_a_score(rule: str, effect: str, look: Look) -> Any:
    given = look.at_any_score
    return look.ops.all_of([given.fired[rule], _lets_in(look, given, effect)])


def _positions(protocol: Protocol) -> Iterator[Obligation]:
    """(h) A position in any state is never better than the same one filled, qualified, ready and with no other duty."""
    for position in POSITIONS:
        states = tuple(name for name in inputs_read(protocol) if name.startswith(f"positions.{position}."))
        if states:
            words = f"{INPUTS[states[0]].label.partition(':')[0]} missing or not ready is better than filled"
            yield Obligation("h", position, True, partial(_better_unfilled, states), words, states)


def _better_unfilled(states: tuple[str, ...], look: Look) -> Any:
    return look.ops.all_of([*(look.first[state] == 0 for state in states), better(look)])
