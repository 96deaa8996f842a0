"""The rules in their order: what comes first decides, and nothing outvotes a stop."""

import numpy as np
import pytest

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import RULES, decide
from opsrisk.engine.inputs import DIVERS, DIVERS_WITH_CONTROLS, HOLD, VEHICLE_FIRST, VEHICLE_ONLY, index_of
from opsrisk.engine.replay import replay
from opsrisk.protocols.shipped import baseline
from tests.engine.at_random import columns, making, row

ROWS = 10_000
RESCUE = index_of("task.gain", "rescue")
STOPS = [rule for rule in baseline().rules if rule.effect in ("missing", "stop_everybody", "stop_divers")]
TRIGGERS = [rule for rule in baseline().rules if rule.effect.startswith("trigger")]


@pytest.fixture(scope="module")
def others():
    """Random other inputs, most of them harmless, so that much would speak for going in."""
    return columns(baseline(), ROWS, seed=2, harmless=0.8)


def decided(drawn, **fixed):
    """`fixed` inputs in front of random others, over arrays."""
    rows = len(drawn["task.gain"])
    return replay(baseline(), drawn | {name: np.full(rows, value) for name, value in fixed.items()})


@pytest.mark.parametrize("stop", STOPS, ids=lambda stop: stop.id)
def test_no_stop_is_ever_outvoted(stop, others):
    """Whatever 10,000 other sets of inputs say, a stop that fires keeps divers out, and one for everybody holds."""
    outcome = decided(others, **making(stop.when))

    assert np.all(outcome.fired[stop.id])
    least = VEHICLE_ONLY if stop.effect == "stop_divers" else HOLD
    assert np.all(outcome.decision >= least)


def test_without_the_stops_the_same_inputs_often_let_divers_go(others):
    """The test above is about stops: a good part of its other inputs alone would have let divers in."""
    assert np.mean(decided(others).decision <= DIVERS_WITH_CONTROLS) > 0.01


@pytest.mark.parametrize("choose", range(4))
def test_every_alternative_of_a_stop_stops(choose, others):
    """A stop with several causes stops for each of them."""
    for stop in STOPS:
        outcome = decided(others, **making(stop.when, choose))
        assert np.all(outcome.fired[stop.id]), stop.id
        assert np.all(outcome.decision >= VEHICLE_ONLY)


@pytest.mark.parametrize("trigger", TRIGGERS, ids=lambda trigger: trigger.id)
def test_a_trigger_with_nobody_to_save_never_lets_divers_just_go(trigger, others):
    """Vehicle first, or controls for a team without one, or hold: never 'divers may enter'."""
    nobody = {"task.gain": index_of("task.gain", "nobody_to_save")}
    owned = {"vehicle.owned": index_of("vehicle.owned", "yes")}

    assert np.all(decided(others, **making(trigger.when), **nobody).decision >= DIVERS_WITH_CONTROLS)
    assert np.all(decided(others, **making(trigger.when), **nobody, **owned).decision >= VEHICLE_FIRST)


@pytest.mark.parametrize("trigger", TRIGGERS, ids=lambda trigger: trigger.id)
def test_in_a_rescue_a_trigger_never_makes_divers_wait_for_the_vehicle(trigger, others):
    """'Vehicle first' is no answer while somebody can be saved."""
    outcome = decided(others, **making(trigger.when), **{"task.gain": RESCUE})

    assert not np.any(outcome.decision == VEHICLE_FIRST)


def test_each_rule_gives_only_its_own_answers():
    """The rule that decided and the decision belong together, over everything that was drawn."""
    own = {
        "something_missing": {HOLD},
        "stop_for_everybody": {HOLD},
        "stop_for_divers": {VEHICLE_ONLY, HOLD},
        "vehicle_first_trigger": {VEHICLE_FIRST, HOLD, DIVERS_WITH_CONTROLS},
        "rescue_within_the_line": {DIVERS_WITH_CONTROLS},
        "rescue_over_the_line": {VEHICLE_ONLY, HOLD},
        "controls_needed": {DIVERS_WITH_CONTROLS},
        "no_configured_limit_exceeded": {DIVERS},
    }
    found = {name: set() for name in RULES}
    for seed, harmless in ((3, 0.5), (4, 0.9), (5, 0.97), (6, 0.99)):
        outcome = decided(columns(baseline(), 100_000, seed=seed, harmless=harmless))
        for place, name in enumerate(RULES):
            found[name] |= set(np.unique(outcome.decision[outcome.rule == place]).tolist())

    assert found == own


def test_the_vehicle_answers_only_where_it_can_work():
    """'Vehicle first' and 'vehicle only' need a vehicle that is owned and able."""
    outcome = decided(columns(baseline(), 100_000, seed=7, harmless=0.93))
    sent = np.isin(outcome.decision, (VEHICLE_FIRST, VEHICLE_ONLY))

    assert np.any(sent)
    assert np.all(outcome.vehicle_able[sent])


def test_arrays_decide_as_numbers_do(others):
    """What this file shows over arrays holds for the reader that decides on the tablet."""
    outcome = decided(others)
    for place in range(0, ROWS, 10):
        plain = decide(baseline(), row(others, place), NUMBERS)
        assert (plain.decision, plain.rule, plain.score, plain.sum) == (
            outcome.decision[place],
            outcome.rule[place],
            outcome.score[place],
            outcome.sum[place],
        )
