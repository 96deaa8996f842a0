"""Nothing in the baseline is dead: every rule, control, note, combination and factor can fire, and every rule decide."""

import json

import numpy as np
import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.conditions import holds
from opsrisk.engine.decide import decide
from opsrisk.engine.inputs import FLAGS, HOLD, INPUTS, VEHICLE_FIRST, index_of
from opsrisk.engine.replay import replay
from opsrisk.protocols.shipped import baseline
from tests.engine.at_random import columns, end, making
from tests.situations import cases, document

PROTOCOL = baseline()
BEST = {name: end(name, "best") for name in INPUTS}
NOBODY = BEST | {"task.gain": index_of("task.gain", "nobody_to_save")}
# Raised by the engine itself, not by a rule of the protocol.
OF_THE_ENGINE = {"no_gain", "rescue_window_closed", "vehicle_unavailable", "reading_stale", "unknown_inputs"}
# Named in the contract, but the baseline takes the no-stop time from the agency's own table (see not_assessed).
NOT_RAISED = {"no_stop_short"}


@pytest.mark.parametrize("item", [*PROTOCOL.rules, *PROTOCOL.controls, *PROTOCOL.notes], ids=lambda item: item.id)
def test_each_condition_holds_somewhere_and_not_everywhere(item):
    """It fires where its own inputs are bad and is silent where everything is harmless."""
    assert holds(item.when, BEST | making(item.when), NUMBERS)
    if item.serves != "vehicle":  # those two hold wherever a vehicle is in the kit
        assert not holds(item.when, BEST, NUMBERS)


@pytest.mark.parametrize("rule", [r for r in PROTOCOL.rules if r.effect != "vehicle_unable"], ids=lambda rule: rule.id)
def test_each_rule_changes_the_decision_on_its_own(rule):
    """From harmless inputs with nobody to save, making one rule hold and nothing else changes the answer."""
    before = decide(PROTOCOL, NOBODY, NUMBERS)
    after = decide(PROTOCOL, NOBODY | making(rule.when), NUMBERS)

    assert after.fired[rule.id]
    assert after.decision > before.decision


@pytest.mark.parametrize("rule", PROTOCOL.rules_by_effect["vehicle_unable"], ids=lambda rule: rule.id)
def test_each_thing_that_stops_the_vehicle_turns_vehicle_first_into_a_hold(rule):
    """With an unconfirmed target, a vehicle that can work goes first and one that cannot is waited for."""
    asked_for = NOBODY | {"vehicle.owned": 1, "task.target": index_of("task.target", "contact")}

    assert decide(PROTOCOL, asked_for, NUMBERS).decision == VEHICLE_FIRST
    assert decide(PROTOCOL, asked_for | making(rule.when), NUMBERS).decision == HOLD


@pytest.mark.parametrize("factor", PROTOCOL.factors, ids=lambda factor: factor.id)
def test_each_factor_adds_points_at_its_worst(factor):
    """No factor is there for show, and none counts at its harmless end."""
    assert decide(PROTOCOL, BEST, NUMBERS).points[factor.id] == 0
    assert decide(PROTOCOL, BEST | {factor.input: end(factor.input, "worst")}, NUMBERS).points[factor.id] > 0


@pytest.mark.parametrize("extra", PROTOCOL.combinations, ids=lambda extra: extra.id)
def test_each_combination_adds_its_points(extra):
    """Together they are worse than one by one."""
    assert decide(PROTOCOL, BEST | making(extra.when), NUMBERS).points[extra.id] == extra.points > 0


def test_each_line_decides_by_the_score_alone():
    """Over the line for divers, for nobody to save, and for a rescue, with no stop and no trigger, something changes."""
    outcome = replay(PROTOCOL, columns(PROTOCOL, 200_000, seed=21, harmless=0.75))
    fired = {name: truth for name, truth in outcome.fired.items() if name in {rule.id for rule in PROTOCOL.rules}}
    quiet = ~np.any([truth for name, truth in fired.items() if "vehicle" not in name and "tether" not in name], axis=0)

    found = {rule: int(np.sum(quiet & (outcome.rule == rule))) for rule in (3, 5, 6)}

    assert all(found.values()), found


def test_every_flag_is_raised_by_somebody():
    """Each stable flag id comes from a rule, a control or a note of the baseline, or from the engine."""
    raised = {item.flag for item in (*PROTOCOL.rules, *PROTOCOL.controls, *PROTOCOL.notes)} - {""}

    assert raised | OF_THE_ENGINE | NOT_RAISED == set(FLAGS)
    assert not raised & NOT_RAISED


def test_the_flags_of_the_engine_are_raised():
    """A recovery, a closed window, a missing vehicle, an old and an unknown reading each raise theirs."""
    made = document("drowning", under_water="95 min", **{"readings.current": "0.1 kn, 40 min ago"})
    made["readings"]["depth"] = "unknown"

    flags = set(assess(read_situation(json.dumps(made)), PROTOCOL)["flags"])

    assert flags >= OF_THE_ENGINE


def test_the_situations_in_words_show_most_rules():
    """The readable situations let nearly every rule of the baseline decide; the rest are roles tested one by one here."""
    shown = {name for case in cases() for name in case.get("because", ())}

    rules = {rule.id for rule in PROTOCOL.rules}
    assert rules >= shown
    assert len(rules - shown) <= 5, rules - shown
