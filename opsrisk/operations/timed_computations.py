"""How long each computation by name, the plan and its pictures take: processor time, since other work may share
the machine. The browser runs this very file too."""

import json
from collections.abc import Callable
from functools import partial
from statistics import median
from time import process_time
from typing import Any

from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.registry import compute
from opsrisk.assessment.pictures.drawn import pictures
from opsrisk.assessment.plan import plan

RUNS = 7

Times = dict[str, dict[str, float]]


def timings(examples: str, plans: list[str]) -> Times:
    """By name: milliseconds of the `first` call, nothing kept from before, and the `median` of those that follow.

    `examples` is the document of example inputs, `plans` the texts of a situation, plan inputs and a protocol.
    """
    found = {name: _timed(partial(_computed, name, given)) for name, given in json.loads(examples).items()}
    found["plan"] = _timed(lambda: plan(*plans))
    document = plan(*plans)
    found["pictures"] = _timed(lambda: pictures(document))
    return found


def _computed(name: str, given: Any) -> None:
    """A refusal is an answer too: the no-stop tables are off until an agency adopts them."""
    try:
        compute(name, json.dumps(given))
    except ComputationRefused:
        return


def _timed(work: Callable[[], object]) -> dict[str, float]:
    taken = []
    for _ in range(RUNS + 1):
        start = process_time()
        work()
        taken.append((process_time() - start) * 1000)
    return {"first": taken[0], "median": median(taken[1:])}
