"""On protocols small enough to look at every situation there is, the proof and looking agree, claim by claim.

Looking knows nothing of solvers, claims or algebra: it decides every situation and compares the answers.
"""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from opsrisk.engine.decide import RULES
from opsrisk.engine.inputs import DECISIONS
from opsrisk.engine.proof import prove
from opsrisk.engine.replay import replay
from tests.engine.small_protocols import every_situation, graded, small_protocol

SEEDS = range(40)


def looked(protocol):
    """For each property the subjects that fail, from the decisions on every situation; (i) for whole rules only."""
    drawn, names, shape = every_situation(protocol)
    outcome = replay(protocol, drawn)

    def shaped(part):
        return np.broadcast_to(part, np.prod(shape)).reshape(shape)

    fails = {letter: set() for letter in "bcdefghi"}
    decision, score = shaped(outcome.decision), shaped(outcome.score)
    control = shaped(outcome.fired["control"])
    for axis, name in graded(names):
        better, worse = (np.moveaxis(part, axis, 0) for part in (decision, score))
        dropped = np.moveaxis(control, axis, 0)
        for near in range(shape[axis] - 1):
            if (better[near + 1] < better[near]).any():
                fails["b"].add(name)
            if (worse[near + 1] < worse[near]).any():
                fails["e"].add(name)
        for near in range(shape[axis]):
            for far in range(near + 1, shape[axis]):
                if (dropped[near] & ~dropped[far] & (better[far] <= better[near])).any():
                    fails["b"].add("control")
        if (better[-1] < better).any() or (worse[-1] < worse).any():
            fails["f"].add(name)
            if name.startswith("positions."):
                fails["h"].add("standby_tender")
    fails["e"] |= {part for part, points in outcome.points.items() if (np.asarray(points) < 0).any()}
    if score.min() < 0:
        fails["e"].add("score")
    fails["d"] |= {name for name, fired in outcome.fired.items() if not np.any(fired)}
    if not (np.asarray(outcome.points["together"]) != 0).any() and not fires(protocol, drawn):
        fails["d"].add("together")
    fails["d"] |= unseen(outcome)
    fails["i"] |= {rule.id for rule in protocol.rules if idle(protocol, rule, drawn, outcome)}
    return fails


def fires(protocol, drawn):
    always = replace(protocol.combinations[0], points=1)
    return (np.asarray(replay(replace(protocol, combinations=(always,)), drawn).points["together"]) == 1).any()


def unseen(outcome):
    rules = {name for place, name in enumerate(RULES) if not (outcome.rule == place).any()}
    return rules | {name for place, name in enumerate(DECISIONS) if not (outcome.decision == place).any()}


def idle(protocol, rule, drawn, outcome):
    others = tuple(other for other in protocol.rules if other is not rule)
    return (replay(replace(protocol, rules=others), drawn).decision == outcome.decision).all()


def proven(protocol):
    """The same from the proof. Of (i) only what is said of whole rules."""
    results = {result.letter: result for result in prove(protocol)}
    found = {letter: {failure.subject for failure in results[letter].failures} for letter in "bcdefgh"}
    found["i"] = {each.subject for each in results["i"].failures if "changes no decision" in each.words}
    assert results["a"].proven
    assert all(result.verdict in ("proven", "refuted") for result in results.values())
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_the_proof_finds_what_looking_at_everything_finds(seed):
    """Not one subject more, not one less, for any property."""
    protocol = small_protocol(seed)

    assert proven(protocol) == looked(protocol)


def test_two_readings_that_must_be_equal_are_equal_on_floats():
    """Seed 607 asks for a current that is exactly the vehicle's limit: the situation shown must be one."""
    test_the_proof_finds_what_looking_at_everything_finds(607)


def test_the_small_protocols_are_of_all_sorts():
    """Every property that a protocol can break is broken by many of them, and the perverse ones kept by some."""
    broken = Counter(letter for seed in SEEDS for letter, found in looked(small_protocol(seed)).items() if found)

    assert all(broken[letter] >= 5 for letter in "bdefhi"), broken
    assert all(broken[letter] <= len(SEEDS) - 5 for letter in "befhi"), broken
