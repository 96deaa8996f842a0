"""How long one decision and one assessment take. The browser runs this very file, so that both are timed alike."""

from collections.abc import Callable, Sequence
from statistics import median
from time import perf_counter
from typing import Any

from opsrisk.assessment.assess import assess
from opsrisk.assessment.computed import facts_of
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import decide
from opsrisk.engine.protocol import read_protocol
from opsrisk.engine.readings import values

RUNS = 7
DECISIONS_EACH = 20  # how often a run goes through the situations: a browser's clock is coarse
EVERY = 3  # an assessment takes long enough to be timed on a third of them


def timings(protocol: str, situations: Sequence[str]) -> dict[str, float]:
    """Median milliseconds of one decision over all `situations`, and of one whole assessment over a third of them."""
    rules = read_protocol(protocol)
    read = [read_situation(text) for text in situations]
    known = [values(facts_of(each, rules), "value") for each in read]
    return {
        "decision": median_ms(lambda at: decide(rules, at, NUMBERS), known, DECISIONS_EACH),
        "assessment": median_ms(lambda each: assess(each, rules), read[::EVERY], 1),
    }


def median_ms(work: Callable[[Any], object], given: Sequence[Any], times: int) -> float:
    """Median over RUNS of the mean time of `work` on one of `given`; one run before them is not counted."""
    taken = []
    for _ in range(RUNS + 1):
        start = perf_counter()
        for _ in range(times):
            for each in given:
                work(each)
        taken.append((perf_counter() - start) / times / len(given) * 1000)
    return median(taken[1:])
