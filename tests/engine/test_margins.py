"""For each reading the nearest value, each way, at which the decision changes: exact, and none is missed."""

from dataclasses import replace
from math import inf, nextafter

import numpy as np
import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.computed import facts_of
from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import decide
from opsrisk.engine.explain import shown_margin
from opsrisk.engine.inputs import INPUTS, Configuration, Quantity
from opsrisk.engine.margins import decide_on, flips, thresholds, unstated
from opsrisk.engine.readings import Switch, values
from opsrisk.engine.replay import replay
from opsrisk.protocols.shipped import baseline
from opsrisk.reference.units import to_si
from tests.engine.facts_at_random import random_facts
from tests.situations import situation

SEEDS = range(60)


def has_margins(facts, name):
    item = INPUTS[name]
    graded = isinstance(item, Quantity) or (not isinstance(item, Configuration) and len(item.values) > 2)
    return graded and facts[name].state != "not_applicable"


def found_by(facts):
    """The decision at the values, and its flips by input and direction."""
    decision = decide_on(baseline(), values(facts, "value"), unstated(facts)).decision
    return decision, {(flip.input, flip.direction): flip for flip in flips(baseline(), facts, decision)}


def one_step_toward(name, value, direction, steps=1):
    upward = (INPUTS[name].worse == "higher") == (direction == "worse")
    for _ in range(abs(steps)):
        value = nextafter(value, inf if upward == (steps > 0) else -inf)
    return value


def decision_with(facts, name, value):
    return decide_on(baseline(), values(facts, "value") | {name: value}, unstated(facts)).decision


@pytest.mark.parametrize("seed", SEEDS)
def test_each_flip_is_true_on_both_sides(seed):
    """At the flip (or just beyond it) the stated decision holds; one float nearer to the reading, the present one."""
    facts = random_facts(seed)
    decision, found = found_by(facts)
    for (name, direction), flip in found.items():
        if isinstance(INPUTS[name], Quantity):
            last_before = flip.value if flip.beyond else one_step_toward(name, flip.value, direction, -1)
            first_after = one_step_toward(name, flip.value, direction) if flip.beyond else flip.value
        else:
            last_before, first_after = flip.value + (-1 if direction == "worse" else 1), flip.value
        assert decision_with(facts, name, first_after) == flip.decision != decision
        assert decision_with(facts, name, last_before) == decision


@pytest.mark.parametrize("seed", SEEDS)
def test_no_flip_is_missed(seed):
    """A dense scan of each reading, over its whole domain and beside every threshold, finds the same nearest flips."""
    facts = random_facts(seed, unsure=3)
    decision, found = found_by(facts)
    if unstated(facts):
        facts = {name: replace(fact, open=()) for name, fact in facts.items()}
        decision, found = found_by(facts)
    for name in facts:
        if not has_margins(facts, name):
            continue
        for direction in ("worse", "better"):
            tried = scanned(facts, name, direction)
            changed = tried[decisions(facts, name, tried) != decision]
            flip = found.get((name, direction))
            assert (flip is not None) == bool(len(changed)), (name, direction)
            if flip is not None and isinstance(INPUTS[name], Quantity):
                first = one_step_toward(name, flip.value, direction) if flip.beyond else flip.value
                assert changed[0] == first, (name, direction)
            elif flip is not None:
                assert changed[0] == flip.value


def scanned(facts, name, direction):
    """Values from the reading toward `direction`, nearest first: 2,000 evenly, and both sides of each threshold."""
    item, now = INPUTS[name], facts[name].value
    if not isinstance(item, Quantity):
        return np.array(range(now + 1, len(item.values)) if direction == "worse" else range(now - 1, -1, -1))
    rule = baseline().inputs[name]
    marks = np.array([*thresholds(baseline(), facts, name)])
    every = np.linspace(rule.lowest, rule.highest, 2000)
    every = np.concatenate([every, marks, np.nextafter(marks, inf), np.nextafter(marks, -inf)])
    every = every[(every >= rule.lowest) & (every <= rule.highest)]
    upward = (item.worse == "higher") == (direction == "worse")
    return np.unique(every[every > now]) if upward else np.unique(every[every < now])[::-1]


def decisions(facts, name, tried):
    at = {each: np.full(len(tried), value) for each, value in values(facts, "value").items()}
    return np.broadcast_to(replay(baseline(), at | {name: tried}).decision, len(tried))


def test_a_reading_that_stands_on_a_limit_flips_just_beyond_it():
    """At exactly 1.5 kn any more is too much, and the margin says 'beyond 1.5 kn'."""
    facts = facts_of(situation(**{"readings.current": "1.5 kn"}), baseline())
    _, found = found_by(facts)

    worse = found["readings.current", "worse"]

    assert (worse.value, worse.beyond) == (to_si("1.5", "kn"), True)


def test_nothing_is_tried_beyond_the_domain():
    """No daylight left is the end: there is no worse value to warn of."""
    facts = facts_of(situation(**{"readings.daylight_left": "0 min"}), baseline())

    assert ("readings.daylight_left", "worse") not in found_by(facts)[1]


def test_colder_or_warmer_water_can_open_or_close_a_rescue():
    """Sixty minutes under at 5.8 C: over 6 C the window has closed and the vehicle goes first."""
    made = situation("drowning", "working", under_water="60 min", **{"readings.water_temperature": "5.8 C"})

    decision = assess(made, baseline())

    margins = {each["input"]: each for each in decision["margins"]}
    assert margins["readings.water_temperature"]["better"] == {
        "value": "6.0",
        "beyond": True,
        "decision": "vehicle_first",
    }


def test_margins_are_those_of_everything_that_nobody_stated():
    """Nobody says what the diver breathes: 130 ft is the limit, as for scuba, not 190 ft."""
    deep = {"readings.depth": "120 ft", "support.chamber_minutes": "3 min", "dive.breathing": "unknown"}

    margins = {each["input"]: each for each in assess(situation(**deep), baseline())["margins"]}

    assert margins["readings.depth"]["worse"] == {"value": "130.0", "beyond": True, "decision": "hold"}


def test_a_switch_turns_at_its_threshold():
    """Up to 6 C one side, beyond it the other."""
    switch = Switch("readings.water_temperature", 6.0, 0, 1)

    assert [switch.side(value) for value in (5.9, 6.0, 6.1)] == [0, 0, 1]


def test_cold_gear_that_nobody_asked_about_counts_in_the_margin():
    """In warm water nobody asks for cold-water gear; the margin still says that below 3 C divers stay out."""
    decision = assess(situation(), baseline())

    margins = {each["input"]: each for each in decision["margins"]}
    assert margins["readings.water_temperature"]["worse"]["value"] == "3.0"
    assert "dive.cold_gear" not in {each["input"] for each in decision["assumed"]}


def test_margins_leave_the_reading_itself_alone():
    """The decision at the value is not part of its margin."""
    for seed in SEEDS:
        facts = random_facts(seed, unsure=0)
        decision, found = found_by(facts)
        assert decide(baseline(), values(facts, "value"), NUMBERS).decision == decision
        assert all(flip.decision != decision for flip in found.values())


@pytest.mark.parametrize("seed", SEEDS)
def test_the_printed_margin_is_never_past_the_exact_one(seed):
    """Who goes by the printed number stops a little sooner: at most one in its last digit, and never later."""
    _, found = found_by(random_facts(seed))
    for (name, _), flip in found.items():
        item = INPUTS[name]
        if not isinstance(item, Quantity):
            continue
        for unit in item.units:
            printed = shown_margin(name, flip.value, unit)
            last_digit = to_si("1" if "." not in printed else "0." + "0" * (len(printed.split(".")[1]) - 1) + "1", unit)
            sooner = flip.value - to_si(printed, unit) if item.worse == "higher" else to_si(printed, unit) - flip.value
            assert 0 <= sooner < last_digit - to_si("0", unit) + 1e-9


def test_a_margin_between_two_digits_is_printed_on_its_harmless_side():
    """0.6286 kn is 0.62, not 0.63; 4.333 ft of visibility are 4.4, not 4.3."""
    assert shown_margin("readings.current", to_si("0.6286", "kn"), "kn") == "0.62"
    assert shown_margin("readings.current", to_si("0.63", "kn"), "kn") == "0.63"
    assert shown_margin("readings.visibility", to_si("4.333", "ft"), "ft") == "4.4"
    assert shown_margin("hazards.entanglement", 2, "") == "moderate"
