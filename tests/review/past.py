"""Past assessments for the what-if: situations drawn at random, filed with what the float reader decides on them."""

import json
from random import Random
from typing import Any

from opsrisk.assessment.computed import facts_of
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.inputs import DECISIONS
from opsrisk.engine.margins import decide_on, unstated
from opsrisk.engine.parts import Protocol
from opsrisk.engine.protocol import read_protocol
from opsrisk.engine.readings import values
from opsrisk.operations.models import Operation
from opsrisk.protocols.shipped import BASELINE, baseline
from tests.cast import NOON
from tests.filed import filed
from tests.random_situations import random_document


def decided(situation: dict[str, Any], protocol: Protocol) -> tuple[str, int]:
    """What the float reader decides, and the score; as `assess` does it, without the explanation."""
    facts = facts_of(read_situation(json.dumps(situation)), protocol)
    outcome = decide_on(protocol, values(facts, "value"), unstated(facts))
    return DECISIONS[outcome.decision], outcome.score


def file_one(cast, situation, version, *, stored=None):
    """`situation` as an assessment decided under `version`, as the baseline decides it; `stored` stands in its place."""
    decision, score = decided(situation, baseline())
    operation = Operation.objects.create(agency=cast.agency, title="Training", kind="training", called_at=NOON)
    record = {
        "situation": stored or situation,
        "operation": {"title": "Training", "place": "Quarry basin"},
        "revision": 1,
        "own_judgement": {"decision": decision},
        "decision": {"decision": decision, "score": score},
        "chosen": {"decision": decision, "reason": ""},
    }
    return filed(record, agency=cast.agency, by=cast.supervisor, protocol=version, operation=operation)


def file_many(cast, version, number: int, *, seed: int = 1, known: float = 0.995, fair: float = 0.99):
    """Mostly fair, so that a third of them is no hold."""
    chance = Random(seed)
    made = [random_document(chance, known=known, fair=fair) for _ in range(number)]
    return [file_one(cast, document, version) for document in made]


def changed(**parts: Any) -> Protocol:
    """The baseline with one number other: `lines__rescue__value="60"`."""
    return read_protocol(changed_text(**parts))


def changed_text(**parts: Any) -> str:
    document = json.loads(BASELINE.read_text())
    for path, value in parts.items():
        *parents, name = path.split("__")
        at = document
        for parent in parents:
            at = at[int(parent)] if isinstance(at, list) else at[parent.replace("~", ".")]
        at[int(name) if isinstance(at, list) else name] = value
    return json.dumps(document)
