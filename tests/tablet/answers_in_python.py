"""What the Python that runs this file decides on situations. The browser runs this very file: no import of the tests."""

from collections.abc import Sequence

from opsrisk.assessment.assess import assess
from opsrisk.assessment.situation import SituationRefused, read_situation
from opsrisk.engine.protocol import read_protocol


def timings(protocol: str, situations: Sequence[str]) -> dict[str, list[str]]:
    """Decision and digest of each decision document; of a refused situation, its faults."""
    rules = read_protocol(protocol)
    answers = []
    for text in situations:
        try:
            made = assess(read_situation(text), rules)
        except SituationRefused as refused:
            answers.append(f"refused {refused}")
        else:
            answers.append(f"{made['decision']} {made['digest']}")
    return {"answers": answers}
