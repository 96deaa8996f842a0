"""Past situations as values for the engine: worked out once, kept, and decided on again under any protocol."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from opsrisk.assessment.computed import facts_of
from opsrisk.assessment.record import digest
from opsrisk.assessment.situation import Situation, SituationRefused, read_situation
from opsrisk.engine import VERSION
from opsrisk.engine.decide import inputs_read
from opsrisk.engine.inputs import INPUTS, Configuration
from opsrisk.engine.parts import Protocol

VALUE = np.dtype("<f8")  # places in the order of a category are small whole numbers, exact as floats
UNSAID = ("source", "note", "text")  # of an entry: words that change no value


def basis_of(protocol: Protocol) -> str:
    """Equal for protocols under which every situation comes down to the same values.

    These depend on the inputs that are read, on domains, spreads and ages, on the numbers that computations use, and
    on the engine; not on a limit, a point or a rule.
    """
    document = protocol.document
    return digest(
        {
            "engine": VERSION,
            "reads": list(inputs_read(protocol)),
            "inputs": {name: _without_words(entry) for name, entry in document["inputs"].items()},
            "settings": {name: _without_words(entry) for name, entry in document["settings"].items()},
        }
    )


def packed(record: str, protocol: Protocol) -> bytes:
    """The values of the situation in `record`; empty where it can no longer be read.

    A configuration that nobody stated is no number: both of its values have to be decided on.
    """
    try:
        situation = read_situation(json.dumps(json.loads(record)["situation"]))
    except SituationRefused:
        return b""
    return np.fromiter(_values(situation, protocol), dtype=VALUE).tobytes()


def _values(situation: Situation, protocol: Protocol) -> Iterator[float]:
    facts = facts_of(situation, protocol)
    for name in inputs_read(protocol):
        unstated = isinstance(INPUTS[name], Configuration) and facts[name].open
        yield float("nan") if unstated else float(facts[name].value)


def _without_words(entry: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in entry.items() if name not in UNSAID}
