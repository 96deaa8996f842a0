"""A thousand random changes of the baseline: the proof and a search by brute force on floats never disagree.

The first hundred run here; `MUTATIONS=1000 pytest tests/engine/test_proof_mutations.py` runs them all, in about
half an hour of one processor.
"""

import os
from collections import Counter
from functools import cache

import pytest

from opsrisk.engine.proof import prove
from tests.engine.brute_force import condition_seen, confirmed, idle_rule_matters, search
from tests.engine.mutations import mutated

MUTATIONS = int(os.environ.get("MUTATIONS", "100"))
AT_ONCE = 10
SEARCHED = "befh"


@cache
def told(seed):
    """What proof and brute force say differently of mutation `seed`, and the letters of what each finds broken."""
    protocol, words, inputs = mutated(seed)
    results = {result.letter: result for result in prove(protocol)}
    found, seen = search(protocol, inputs, seed)
    seen |= condition_seen(protocol, inputs, seed)
    wrong = [*unsure(results), *overlooked(results, found), *seen_after_all(results, seen)]
    wrong += [*not_confirmed(protocol, results), *not_idle(protocol, results, inputs, seed)]
    broken = {letter for letter, result in results.items() if not result.proven}
    return [f"mutation {seed} ({words}): {each}" for each in wrong], broken, {each for each in found if found[each]}


def subjects(results, letter):
    return {failure.subject for failure in results[letter].failures}


def unsure(results):
    return [f"({each.letter}) {each.verdict}" for each in results.values() if each.verdict not in ("proven", "refuted")]


def overlooked(results, found):
    missed = {letter: found[letter] - subjects(results, letter) for letter in SEARCHED}
    return [f"({letter}) holds for {names}, says the proof, yet breaks" for letter, names in missed.items() if names]


def seen_after_all(results, seen):
    return [f"(d) '{name}' never happens, says the proof, yet is seen" for name in seen & subjects(results, "d")]


def not_confirmed(protocol, results):
    return [
        f"({letter}) what is shown for '{failure.subject}' breaks nothing"
        for letter in SEARCHED
        for failure in results[letter].failures
        if not confirmed(protocol, letter, failure)
    ]


def not_idle(protocol, results, inputs, seed):
    idle = {failure.subject for failure in results["i"].failures if "changes no decision" in failure.words}
    return [
        f"(i) '{rule}' is idle, says the proof, yet it decides"
        for rule in idle
        if idle_rule_matters(protocol, rule, inputs, seed)
    ]


@pytest.mark.parametrize("start", range(0, MUTATIONS, AT_ONCE))
def test_proof_and_brute_force_never_disagree(start):
    """What search finds the proof has found, what the proof shows happens, what it rules out is never seen."""
    assert [each for seed in range(start, min(start + AT_ONCE, MUTATIONS)) for each in told(seed)[0]] == []


def test_the_changes_are_worth_a_test():
    """Many break something, some break nothing, and the search alone finds most of what the proof finds."""
    broken = Counter(letter for seed in range(MUTATIONS) for letter in told(seed)[1])
    searched = Counter(letter for seed in range(MUTATIONS) for letter in told(seed)[2])

    assert all(broken[letter] >= MUTATIONS // 50 for letter in "bdefi"), broken
    assert sum(not told(seed)[1] for seed in range(MUTATIONS)) >= MUTATIONS // 10
    assert all(searched[letter] >= broken[letter] // 2 for letter in "bef"), (searched, broken)
