"""A decision function that is wrong is caught, whatever the protocol: the proof does not take `decide` on trust."""

from dataclasses import replace

import pytest

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import RESCUE, decide
from opsrisk.engine.inputs import DIVERS, DIVERS_WITH_CONTROLS, HOLD, VEHICLE_FIRST, VEHICLE_ONLY
from opsrisk.engine.proof import prove
from opsrisk.protocols.shipped import baseline

LOW = 10


def answering(outcome, ops, condition, answer):
    return replace(outcome, decision=ops.where(condition, answer, outcome.decision))


def score_comes_first(protocol, facts, ops):
    """A low score lets divers in before anyone asks for stops."""
    given = decide(protocol, facts, ops)
    return answering(given, ops, given.score < LOW, DIVERS)


def rescue_outvotes_stops(protocol, facts, ops):
    """Somebody to save: divers go, whatever stops them."""
    given = decide(protocol, facts, ops)
    return answering(given, ops, facts["task.gain"] == RESCUE, DIVERS_WITH_CONTROLS)


def rescue_opens_without_a_vehicle(protocol, facts, ops):
    """The first sketch: in a rescue a vehicle that cannot be launched sends divers into what is stopped for them."""
    given = decide(protocol, facts, ops)
    stopped = ops.all_of([facts["task.gain"] == RESCUE, given.rule == 2, facts["vehicle.owned"] == 1])
    return answering(given, ops, ops.all_of([stopped, ops.no(given.vehicle_able)]), DIVERS_WITH_CONTROLS)


def vehicle_only_when_it_cannot(protocol, facts, ops):
    """'Vehicle only' and 'hold' swapped in rule 3."""
    given = decide(protocol, facts, ops)
    swapped = ops.where(given.vehicle_able, HOLD, VEHICLE_ONLY)
    return replace(given, decision=ops.where(given.rule == 2, swapped, given.decision))


def triggers_are_forgotten_at_a_low_score(protocol, facts, ops):
    """A trigger counts only over the first line."""
    given = decide(protocol, facts, ops)
    low = ops.all_of([given.rule == 3, given.score <= LOW])
    return answering(given, ops, low, DIVERS_WITH_CONTROLS)


def answers_outside_the_five(protocol, facts, ops):
    """A sixth answer that nobody has words for."""
    given = decide(protocol, facts, ops)
    return answering(given, ops, given.rule == 7, 5)


def never_says_vehicle_first(protocol, facts, ops):
    given = decide(protocol, facts, ops)
    return answering(given, ops, given.decision == VEHICLE_FIRST, VEHICLE_ONLY)


def score_without_a_cap(protocol, facts, ops):
    given = decide(protocol, facts, ops)
    return replace(given, score=given.sum)


def score_turns_round(protocol, facts, ops):
    """Over fifty the score falls back to twenty."""
    given = decide(protocol, facts, ops)
    return replace(given, score=ops.where(given.score > 50, 20, given.score))


# Each with exactly the properties that it breaks.
WRONG = {
    score_comes_first: "acg",
    rescue_outvotes_stops: "acgi",
    rescue_opens_without_a_vehicle: "abcfgh",
    vehicle_only_when_it_cannot: "bcfgh",
    triggers_are_forgotten_at_a_low_score: "g",
    answers_outside_the_five: "abdfh",
    never_says_vehicle_first: "ad",
    score_without_a_cap: "e",
    score_turns_round: "efh",
}


@pytest.mark.parametrize("wrong", WRONG, ids=lambda wrong: wrong.__name__)
def test_wrong_decision_function_is_caught(wrong):
    """The properties that it breaks fail, and what is shown happens when that function decides on floats."""
    results = prove(baseline(), decided_by=wrong)

    failing = {result.letter: result for result in results if not result.proven}
    assert set(failing) == set(WRONG[wrong])
    shown = [failure for result in failing.values() for failure in result.failures if failure.first is not None]
    assert shown
    for failure in shown:
        if failure.any_score is None:
            assert wrong(baseline(), failure.first.facts, NUMBERS).decision == failure.first.decision
