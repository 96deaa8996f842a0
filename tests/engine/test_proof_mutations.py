"""Random changes of the baseline: the proof and a search by brute force on floats never disagree.

Twenty run here; `python docs/measurements/mutations.py` runs a thousand, in about half an hour of one processor.
"""

from collections import Counter
from functools import cache

import pytest

from tests.engine import disagreements

MUTATIONS, AT_ONCE = 20, 10

told = cache(disagreements.told)


@pytest.mark.parametrize("start", range(0, MUTATIONS, AT_ONCE))
def test_proof_and_brute_force_never_disagree(start):
    """What search finds the proof has found, what the proof shows happens, what it rules out is never seen."""
    found = [told(seed) for seed in range(start, start + AT_ONCE)]

    assert [f"mutation {each.seed} ({each.words}): {wrong}" for each in found for wrong in each.wrong] == []


def test_the_changes_are_worth_a_test():
    """Many break something, some break nothing, and the search alone finds most of what the proof finds."""
    broken = Counter(letter for seed in range(MUTATIONS) for letter in told(seed).broken)
    searched = Counter(letter for seed in range(MUTATIONS) for letter in told(seed).searched)

    assert all(broken[letter] for letter in "bdefi"), broken
    assert sum(not told(seed).broken for seed in range(MUTATIONS)) >= MUTATIONS // 10
    assert all(searched[letter] >= broken[letter] // 2 for letter in "bef"), (searched, broken)
