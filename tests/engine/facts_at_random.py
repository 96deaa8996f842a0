"""Facts at random: a value, its bounds and its state for every input, without a situation document around them."""

from dataclasses import replace

import numpy as np

from opsrisk.engine.decide import inputs_read
from opsrisk.engine.inputs import INPUTS, Configuration, Quantity
from opsrisk.engine.readings import Fact
from opsrisk.protocols.shipped import baseline
from tests.engine.at_random import columns, end, row, values


def random_facts(seed: int, *, harmless: float = 0.9, unsure: int = 5) -> dict[str, Fact]:
    """Facts of the baseline's inputs; `unsure` of them have bounds, now and then a configuration nobody stated."""
    chance = np.random.default_rng([seed, 99])
    protocol = baseline()
    at = row(columns(protocol, 1, seed=seed, harmless=harmless), 0)
    facts = {name: Fact(name, value, value, value, "given", f"{value}") for name, value in at.items()}
    for name in chance.choice(inputs_read(protocol), unsure, replace=False).tolist():
        facts[name] = _unsure(facts[name], chance)
    return facts


def _unsure(fact: Fact, chance: np.random.Generator) -> Fact:
    item = INPUTS[fact.name]
    if isinstance(item, Configuration):
        places = tuple(range(len(item.values)))
        if chance.random() < 0.5:
            return replace(fact, value=places[-1], best=0, worst=places[-1], state="unknown", open=places)
        return replace(fact, best=1 - fact.value, worst=fact.value)  # hangs on a reading whose bounds allow both
    if chance.random() < 0.25 or not isinstance(item, Quantity):
        best, worst = end(fact.name, "best"), end(fact.name, "worst")
        return replace(fact, value=worst, best=best, worst=worst, state="unknown")
    drawn = sorted(values(baseline(), fact.name, 2, chance).tolist())
    low, high = min(drawn[0], fact.value), max(drawn[1], fact.value)
    best, worst = (low, high) if item.worse == "higher" else (high, low)
    return replace(fact, best=best, worst=worst)
