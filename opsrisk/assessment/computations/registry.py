"""Every computation by its name: the one list that the command, the API, the plan and the pages share."""

from collections.abc import Mapping
from typing import Any

from opsrisk.assessment.computations import (
    crew,
    current,
    diver,
    exposure,
    gas,
    hazards,
    no_stop,
    search,
    sonar,
    vehicle,
    water,
    windows,
)
from opsrisk.assessment.computations.entry import Computation
from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.running import run

_TOPICS = (windows, current, vehicle, sonar, search, gas, no_stop, exposure, diver, hazards, water, crew)
COMPUTATIONS: dict[str, Computation] = {entry.name: entry for topic in _TOPICS for entry in topic.ENTRIES}


def compute(name: str, given: str | bytes | Mapping[str, Any]) -> dict[str, Any]:
    """The answer document of computation `name` to an input document. Raises ComputationRefused.

    >>> answer = compute("sonar_detail", '{"range": {"value": "30", "unit": "ft"},'
    ...                                  ' "beam_spacing": {"value": "0.1", "unit": "deg"}}')
    >>> answer["answers"][0]["value"], answer["answers"][0]["unit"]
    ('1.6', 'cm')
    """
    if name not in COMPUTATIONS:
        raise ComputationRefused([("computation", name, ", ".join(COMPUTATIONS))])
    return run(COMPUTATIONS[name], given)
