"""Nothing made worse ever makes the decision less cautious or the score lower."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import decide, inputs_read
from opsrisk.engine.inputs import INPUTS, Configuration
from opsrisk.engine.replay import replay
from opsrisk.protocols.shipped import baseline
from tests.engine.at_random import columns, in_order, row, values

PAIRS = 100_000
ORDERED = [name for name in inputs_read(baseline()) if not isinstance(INPUTS[name], Configuration)]
CONFIGURATIONS = {
    name: range(len(INPUTS[name].values)) for name in INPUTS if isinstance(INPUTS[name], Configuration)
}  # fmt: skip
FACTORS = [factor.input for factor in baseline().factors]


def worse_and_better(name, rows, seed, **fixed):
    """The outcomes of the same random inputs with `name` at two values, the better first."""
    drawn = columns(baseline(), rows, seed=seed, harmless=0.9)
    drawn |= {each: np.full(rows, value) for each, value in fixed.items()}
    two = (values(baseline(), name, rows, np.random.default_rng([seed, each])) for each in (1, 2))
    return [replay(baseline(), drawn | {name: value}) for value in in_order(name, *two)]


@pytest.mark.parametrize("name", FACTORS)
def test_a_worse_reading_never_helps(name):
    """For 100,000 ordered pairs of each factor, all else equal, decision and score never fall."""
    better, worse = worse_and_better(name, PAIRS, seed=11)

    assert np.all(worse.decision >= better.decision)
    assert np.all(worse.score >= better.score)
    assert np.any(worse.score > better.score)


@pytest.mark.parametrize("chosen", list(product(*CONFIGURATIONS.values())), ids=str)
def test_no_input_helps_by_getting_worse_in_any_configuration(chosen):
    """Every input, in every combination of rescue or not, breathing supply, and vehicle or none."""
    fixed = dict(zip(CONFIGURATIONS, chosen, strict=True))
    for name in ORDERED:
        better, worse = worse_and_better(name, 2_000, seed=12, **fixed)
        assert np.all(worse.decision >= better.decision), name
        assert np.all(worse.score >= better.score), name


def test_many_readings_made_worse_together_never_help():
    """Two random sets of inputs, taken at the better and at the worse of each: 100,000 pairs."""
    first, second = (columns(baseline(), PAIRS, seed=seed, harmless=0.93) for seed in (13, 14))
    second |= {name: first[name] for name in CONFIGURATIONS}
    ordered = {name: in_order(name, first[name], second[name]) for name in ORDERED}
    better, worse = (
        replay(baseline(), first | {name: pair[place] for name, pair in ordered.items()}) for place in (0, 1)
    )

    assert np.all(worse.decision >= better.decision)
    assert np.all(worse.score >= better.score)
    assert np.any(worse.decision > better.decision)


@settings(max_examples=500)
@given(st.integers(0, 2**32 - 1), st.sampled_from(ORDERED), st.floats(0.5, 1.0))
def test_no_input_helps_by_getting_worse_on_plain_numbers(seed, name, harmless):
    """The reader of the tablet, on examples that are searched for."""
    at = row(columns(baseline(), 1, seed=seed, harmless=harmless), 0)
    chance = np.random.default_rng(seed)
    better, worse = (
        decide(baseline(), at | {name: value.item()}, NUMBERS)
        for value in in_order(name, *(values(baseline(), name, 1, chance)[0] for _ in range(2)))
    )

    assert worse.decision >= better.decision
    assert worse.score >= better.score
