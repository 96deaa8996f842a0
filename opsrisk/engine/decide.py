"""The decision: five rules in order, the first that holds decides.

Follow `decide` with a finger: it is `docs/decision.md` in code. It takes a protocol and one value for
every input, and is written over the algebra alone, so the very same lines decide on the tablet, on the
server, over a hundred thousand past operations and inside the proof.
"""

from dataclasses import dataclass
from typing import Any

from opsrisk.engine.algebra import Algebra
from opsrisk.engine.conditions import Facts, holds
from opsrisk.engine.inputs import DIVERS, DIVERS_WITH_CONTROLS, HOLD, INPUTS, VEHICLE_FIRST, VEHICLE_ONLY, index_of
from opsrisk.engine.parts import Protocol

RESCUE = index_of("task.gain", "rescue")
OWNED = index_of("vehicle.owned", "yes")
SCORE_CAP = 100

# The names of the rules in the order in which they are asked; the last one always holds.
RULES = (
    "something_missing",
    "stop_for_everybody",
    "stop_for_divers",
    "vehicle_first_trigger",
    "rescue_within_the_line",
    "rescue_over_the_line",
    "controls_needed",
    "no_configured_limit_exceeded",
)


@dataclass(frozen=True)
class Outcome:
    """What was decided and every truth it rests on: numbers, arrays or solver terms by reader."""

    decision: Any
    rule: Any  # place in RULES
    score: Any
    sum: Any  # before the cap
    points: dict[str, Any]  # by factor, combination or position id
    fired: dict[str, Any]  # by rule, control or note id
    vehicle_able: Any


def decide(protocol: Protocol, facts: Facts, ops: Algebra) -> Outcome:
    """The decision of `protocol` on `facts` (one value for every input of `INPUTS` that it reads)."""
    fired = {rule.id: holds(rule.when, facts, ops) for rule in protocol.rules}
    controls = {control.id: holds(control.when, facts, ops) for control in protocol.controls}
    points = _points(protocol, facts, ops)
    total = sum(points.values())
    score = ops.at_most(total, SCORE_CAP)

    def any_fired(effect: str) -> Any:
        return ops.any_of([fired[rule.id] for rule in protocol.rules_by_effect[effect]])

    rescue = facts["task.gain"] == RESCUE
    owned = facts["vehicle.owned"] == OWNED
    able = ops.all_of([owned, ops.no(any_fired("vehicle_unable"))])
    over_the_line = score > protocol.line_nobody_to_save
    triggered = ops.any_of([any_fired("trigger"), any_fired("trigger_that_holds"), over_the_line])
    hold_without_vehicle = ops.any_of([any_fired("trigger_that_holds"), over_the_line])
    vehicle_or_hold = ops.where(able, VEHICLE_ONLY, HOLD)
    vehicle_goes_first = ops.where(
        owned, ops.where(able, VEHICLE_FIRST, HOLD), ops.where(hold_without_vehicle, HOLD, DIVERS_WITH_CONTROLS)
    )
    needs_controls = ops.any_of([score > protocol.line_divers, *(controls[c.id] for c in protocol.diver_controls)])

    answers = [
        # 1. Something needed is missing and cannot be assumed.
        (any_fired("missing"), HOLD),
        # 2. A stop for everybody.
        (any_fired("stop_everybody"), HOLD),
        # 3. A stop for divers: the vehicle does the work, or nobody.
        (any_fired("stop_divers"), vehicle_or_hold),
        # 4. A vehicle-first trigger and nobody to save.
        (ops.all_of([triggered, ops.no(rescue)]), vehicle_goes_first),
        # 5. A rescue with a survivable window: the vehicle never makes divers wait, up to the rescue line.
        (ops.all_of([rescue, score <= protocol.line_rescue]), DIVERS_WITH_CONTROLS),
        (rescue, vehicle_or_hold),
        # 6. Otherwise by score, and by the controls that the readings call for.
        (needs_controls, DIVERS_WITH_CONTROLS),
    ]
    decision, rule = _first_that_holds(answers, DIVERS, ops)
    return Outcome(decision, rule, score, total, points, {**fired, **controls}, able)


def _points(protocol: Protocol, facts: Facts, ops: Algebra) -> dict[str, Any]:
    """What each factor adds, and each combination of factors that is there."""
    points = {factor.id: ops.steps(facts[factor.input], factor.steps) for factor in protocol.factors}
    for extra in protocol.combinations:
        points[extra.id] = ops.where(holds(extra.when, facts, ops), extra.points, 0)
    return points


def _first_that_holds(answers: list[tuple[Any, Any]], otherwise: int, ops: Algebra) -> tuple[Any, Any]:
    """The answer of the first condition that holds, and its place; `otherwise` stands after the last."""
    decision: Any = otherwise
    rule: Any = len(answers)
    for place, (condition, answer) in reversed(list(enumerate(answers))):
        decision = ops.where(condition, answer, decision)
        rule = ops.where(condition, place, rule)
    return decision, rule


def inputs_read(protocol: Protocol) -> tuple[str, ...]:
    """The inputs that `protocol` reads, in the order of `INPUTS`."""
    read = protocol.inputs_named | {"task.gain", "vehicle.owned"}
    return tuple(name for name in INPUTS if name in read)
