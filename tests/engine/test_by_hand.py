"""The baseline written out by hand agrees with the engine: a second opinion on every rule, point and unit."""

import numpy as np
import pytest

from opsrisk.engine.decide import inputs_read
from opsrisk.engine.inputs import DECISIONS, INPUTS, Quantity
from opsrisk.engine.replay import replay
from opsrisk.protocols.shipped import baseline
from opsrisk.reference.units import exact_si, from_si, to_si
from opsrisk.tablet.management.by_hand import decide_by_hand
from tests.engine.at_random import columns

ROWS = 50_000
# The units that the baseline is printed in; everything that has none there is written in the first of its units.
UNITS = {
    name: baseline().document["inputs"][name]["unit"] if name in baseline().inputs else ""
    for name in inputs_read(baseline())
}  # fmt: skip


def typed(name, column):
    """A column as somebody types it: (by hand: printed units and words; engine: SI and places), rounded to 3 digits."""
    item = INPUTS[name]
    if not isinstance(item, Quantity):
        return [item.values[place] for place in column], column.tolist()
    unit = UNITS[name]
    low, high = (exact_si(0, unit), exact_si(1, unit))
    shown = np.round((column - float(low)) / float(high - low), 3)
    written = [f"{value:.3f}" for value in shown.tolist()]
    memory = {text: to_si(text, unit) for text in set(written)}
    return [float(text) for text in written], [memory[text] for text in written]


@pytest.mark.parametrize(("harmless", "seed"), [(0.95, 81), (0.99, 82)])
def test_by_hand_and_engine_agree_on_fifty_thousand_random_inputs_each(harmless, seed):
    """Decision and score, at thresholds, beside them and between, in words, knots, feet and degrees."""
    both = {name: typed(name, column) for name, column in columns(baseline(), ROWS, seed, harmless).items()}
    outcome = replay(baseline(), {name: np.array(column) for name, (_, column) in both.items()})
    engine = [(DECISIONS[each], score) for each, score in zip(outcome.decision, outcome.score.tolist(), strict=True)]
    rows = zip(*(column for column, _ in both.values()), strict=True)
    by_hand = [decide_by_hand(dict(zip(both, row, strict=True))) for row in rows]

    differ = [place for place in range(ROWS) if by_hand[place] != engine[place]]
    assert not [(by_hand[place], engine[place]) for place in differ[:3]]
    assert {decision for decision, _ in by_hand} == set(DECISIONS)


def test_what_is_typed_is_what_is_read():
    """The units of the test are those of the protocol: 1.5 kn by hand is 1.5 kn in the engine."""
    hand, engine = typed("readings.current", np.array([to_si("1.5", "kn"), to_si("0.6667", "kn")]))

    assert hand == [1.5, 0.667]
    assert engine == [to_si("1.5", "kn"), to_si("0.667", "kn")]
    assert from_si(engine[0], "kn", 3) == "1.500"
