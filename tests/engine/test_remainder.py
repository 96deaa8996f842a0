"""What is left of a protocol while most inputs stand still decides as the whole does."""

import numpy as np
import pytest

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import decide, inputs_read
from opsrisk.engine.remainder import remainder
from opsrisk.protocols.shipped import baseline
from tests.engine.at_random import columns, row, values


@pytest.mark.parametrize("harmless", [0.5, 0.9, 0.97])
def test_the_remainder_decides_as_the_whole(harmless):
    """For random inputs of which one to three move, decision, rule, sum, score and the vehicle come out alike."""
    protocol, chance = baseline(), np.random.default_rng(41)
    drawn = columns(protocol, 300, seed=41, harmless=harmless)
    for place in range(300):
        at = row(drawn, place)
        moving = chance.choice(inputs_read(protocol), chance.integers(1, 4), replace=False).tolist()
        left = remainder(protocol, at, moving)
        for _ in range(5):
            moved = at | {name: values(protocol, name, 1, chance)[0].item() for name in moving}
            whole, part = (decide(each, moved, NUMBERS) for each in (protocol, left))
            assert (part.decision, part.rule, part.sum, part.score, part.vehicle_able) == (
                whole.decision,
                whole.rule,
                whole.sum,
                whole.score,
                whole.vehicle_able,
            )


def test_the_remainder_of_a_remainder_decides_as_the_whole():
    """A map holds one reading for each row and then moves the other."""
    protocol, chance = baseline(), np.random.default_rng(42)
    drawn = columns(protocol, 200, seed=42, harmless=0.9)
    x, y = "readings.current", "readings.visibility"
    for place in range(200):
        at = row(drawn, place) | {y: values(protocol, y, 1, chance)[0].item()}
        left = remainder(remainder(protocol, row(drawn, place), {x, y}), at, {x})
        at |= {x: values(protocol, x, 1, chance)[0].item()}
        assert decide(left, at, NUMBERS).sum == decide(protocol, at, NUMBERS).sum
        assert decide(left, at, NUMBERS).decision == decide(protocol, at, NUMBERS).decision


def test_the_remainder_is_much_smaller():
    """That is what it is for: most rules do not look at one reading."""
    at = row(columns(baseline(), 1, seed=43, harmless=1.0), 0)

    left = remainder(baseline(), at, {"readings.current"})

    assert len(left.rules) < len(baseline().rules) / 3
    assert len(left.factors) == 2
