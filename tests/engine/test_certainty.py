"""Settled if and only if every corner of all bounds decides alike; if not, the named reading is the one to measure."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from opsrisk.assessment.assess import assess
from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import decide
from opsrisk.engine.inputs import HOLD, VEHICLE_ONLY
from opsrisk.engine.margins import best_and_worst, settles
from opsrisk.engine.readings import values
from opsrisk.engine.replay import replay
from opsrisk.protocols.shipped import baseline
from tests.engine.at_random import columns, row
from tests.engine.facts_at_random import random_facts
from tests.situations import situation


def corners(facts):
    """Every combination of the ends of all bounds, by plain decisions."""
    unsure = [name for name, fact in facts.items() if fact.best != fact.worst]
    at = values(facts, "value")
    return [
        decide(baseline(), at | dict(zip(unsure, ends, strict=True)), NUMBERS).decision
        for ends in product(*((facts[name].best, facts[name].worst) for name in unsure))
    ]


@pytest.mark.parametrize("unsure", [1, 3, 6, 8])
def test_both_ends_are_the_least_and_the_most_cautious_corner(unsure):
    """Of up to 256 corners none lies outside best and worst, and both are reached."""
    settled = 0
    for seed in range(60):
        facts = random_facts(seed, unsure=unsure)
        best, worst = (outcome.decision for outcome in best_and_worst(baseline(), facts))
        found = corners(facts)
        assert (best, worst) == (min(found), max(found))
        settled += best == worst
    assert 0 < settled < 60


def test_no_point_inside_the_bounds_lies_outside_both_ends():
    """1,000 random points between the bounds of each of 30 situations decide between best and worst."""
    for seed in range(30):
        facts = random_facts(seed, unsure=10)
        chance = np.random.default_rng(seed)
        inside = {}
        for name, fact in facts.items():
            part = chance.random(1000)
            between = fact.best + (fact.worst - fact.best) * part
            inside[name] = between if isinstance(fact.value, float) else np.rint(between).astype(int)
        best, worst = (outcome.decision for outcome in best_and_worst(baseline(), facts))
        decided = replay(baseline(), inside).decision
        assert best <= decided.min()
        assert decided.max() <= worst


def test_the_reading_that_settles_brings_the_ends_together_the_most():
    """Known exactly as taken, no other reading would bring the two ends closer."""
    named = 0
    for seed in range(80):
        facts = random_facts(seed, unsure=5)
        chosen = settles(baseline(), facts)

        def gap(name, facts=facts):
            known = replace(facts[name], best=facts[name].value, worst=facts[name].value, open=())
            best, worst = best_and_worst(baseline(), facts | {name: known})
            return worst.decision - best.decision

        gaps = {name: gap(name) for name, fact in facts.items() if fact.best != fact.worst}
        best, worst = best_and_worst(baseline(), facts)
        if chosen is None:
            assert min(gaps.values()) == worst.decision - best.decision
        else:
            assert gaps[chosen] == min(gaps.values()) < worst.decision - best.decision
            named += 1
    assert named > 10


def test_it_names_what_somebody_can_measure():
    """Wind chill is computed: the answer names the air or the wind, which somebody can go and take."""
    cold = {"readings.air_temperature": "unknown", "readings.water_temperature": "4 C", "readings.wind_speed": "20 kn"}

    decision = assess(situation(**cold), baseline())

    assert decision["settled"] is False
    assert decision["settle_by"] == "readings.air_temperature"


def test_a_rescue_that_hangs_on_the_temperature_is_not_settled():
    """In easy water a closing window makes the answer less cautious, and both ends must still be stated in order."""
    easy = {"readings.visibility": "30 ft", "readings.water_temperature": "6.1 C", "task.target": "confirmed"}
    made = situation("drowning", under_water="60 min", **easy)

    decision = assess(made, baseline())

    assert (decision["best"], decision["decision"], decision["worst"]) == ("divers", "divers", "divers_with_controls")
    assert decision["settled"] is False
    assert decision["settle_by"] == "readings.water_temperature"


def test_exact_readings_are_settled():
    """Without bounds both ends are the decision itself."""
    drawn = columns(baseline(), 50, seed=51, harmless=0.9)
    for place in range(50):
        facts = random_facts(place, unsure=0)
        at = row(drawn, place)
        facts = {name: replace(fact, value=at[name], best=at[name], worst=at[name]) for name, fact in facts.items()}
        best, worst = best_and_worst(baseline(), facts)
        assert best == worst
        assert settles(baseline(), facts) is None


def test_not_settled_reaches_from_going_in_to_staying_out():
    """The flag matters most where one end lets divers go and the other does not; such situations exist."""
    spans = {
        tuple(outcome.decision for outcome in best_and_worst(baseline(), random_facts(seed, unsure=6)))
        for seed in range(100)
    }
    assert any(best < VEHICLE_ONLY and worst == HOLD for best, worst in spans)
