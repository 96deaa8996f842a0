"""Are best and worst really the ends? Random corners of the bounds of random situations, decided one by one.

Each situation has readings with bounds, some unknown, now and then a configuration nobody stated. A corner takes for
each of them one end or the other, or now and then a value between; no such point may decide outside best and worst. Of
situations with few enough unsure readings every corner is tried: then both ends must be reached, so that 'not settled'
says that two answers are possible, no more and no less. Numbers of docs/protocol.md.
    python docs/measurements/corners.py [seed] [situations] [corners of each]
"""

import sys
from collections import Counter
from itertools import product
from pathlib import Path
from time import process_time
from typing import Any

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from opsrisk.assessment.record import digest  # noqa: E402 - the path comes first
from opsrisk.engine.margins import best_and_worst  # noqa: E402 - the path comes first
from opsrisk.engine.readings import Fact  # noqa: E402 - the path comes first
from opsrisk.engine.replay import replay  # noqa: E402 - the path comes first
from opsrisk.protocols.shipped import baseline  # noqa: E402 - the path comes first
from tests.engine.facts_at_random import random_facts  # noqa: E402 - the path comes first

Facts = dict[str, Fact]
EVERY = 8  # unsure readings of which every corner is tried
BETWEEN = 0.2  # of the values of a corner lie inside the bounds


def some_corners(facts: Facts, number: int, chance: Any) -> dict[str, Any]:
    """One end or the other of every fact, some values between."""
    found = {}
    for name, fact in facts.items():
        part = np.where(chance.random(number) < BETWEEN, chance.random(number), chance.integers(0, 2, number))
        value = np.where(part == 1, fact.worst, fact.best + (fact.worst - fact.best) * part)
        found[name] = value if isinstance(fact.value, float) else np.rint(value)
    return found


def every_corner(facts: Facts) -> dict[str, Any]:
    unsure = [name for name, fact in facts.items() if fact.best != fact.worst]
    ends = list(product(*((facts[name].best, facts[name].worst) for name in unsure)))
    columns = dict(zip(unsure, zip(*ends, strict=True), strict=True))
    return {name: np.array(columns.get(name, [fact.value] * len(ends)), dtype=float) for name, fact in facts.items()}


def main(seed: int, situations: int, corners: int) -> int:
    chance = np.random.default_rng(seed)
    outside = unreached = tried = complete = 0
    spans: Counter[bool] = Counter()
    began = process_time()
    for number in range(situations):
        unsure = int(chance.integers(1, EVERY + 1)) if number % 2 else int(chance.integers(EVERY + 1, 30))
        facts = random_facts(seed * situations + number, unsure=unsure)
        best, worst = (outcome.decision for outcome in best_and_worst(baseline(), facts))
        drawn = [some_corners(facts, corners, chance)] + ([every_corner(facts)] if number % 2 else [])
        for columns in drawn:
            decided = np.broadcast_to(replay(baseline(), columns).decision, len(columns["readings.depth"]))
            outside += int(((decided < best) | (decided > worst)).sum())
            tried += len(decided)
        if number % 2:
            complete += 1
            unreached += (int(decided.min()), int(decided.max())) != (best, worst)
        spans[best == worst] += 1
    print(f"{baseline().id} {baseline().version}, digest {digest(baseline().document)[:12]}, seed {seed}")
    print(
        f"{tried} points of {situations} situations: {outside} outside best and worst; {process_time() - began:.0f} s"
    )
    print(f"{complete} situations with every corner tried: an end not reached in {unreached}")
    print(f"{spans[True]} settled, {spans[False]} not")
    return 1 if outside or unreached else 0


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:4]]
    sys.exit(main(*given, *(1, 1_000, 100)[len(given) :]))
