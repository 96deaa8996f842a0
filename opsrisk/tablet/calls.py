"""What the tablet's page may ask of the Python in its worker: text in, text out.

Runs in the browser and is tested on the server: no Django here, only what the bundle carries.
"""

import json
from collections.abc import Callable
from datetime import datetime
from typing import Any

from opsrisk.assessment.assess import assess
from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.conditions import conditions, is_recall
from opsrisk.assessment.language import Language
from opsrisk.assessment.merge import merge
from opsrisk.assessment.offer import offer
from opsrisk.assessment.plan_calls import compute_call, plan_asks_call, plan_call, plan_shown_call
from opsrisk.assessment.read_back import briefing, standing
from opsrisk.assessment.situation import SituationRefused, read_situation
from opsrisk.briefing.sheet.blocks import as_json
from opsrisk.briefing.sheet.compose import compose
from opsrisk.briefing.sheet.given import Given
from opsrisk.engine.parts import Protocol
from opsrisk.engine.protocol import read_protocol

Json = dict[str, Any]

_read: dict[str, Protocol] = {}
_spoken: dict[tuple[str, str], Language] = {}


def call(name: str, text: str) -> str:
    """The answer to `name`, given JSON text, as JSON text. Raises for everything that is not an answer."""
    return json.dumps(CALLS[name](json.loads(text)), ensure_ascii=False)


def _assess(given: Json) -> Json:
    now = datetime.fromisoformat(given["now"]) if given.get("now") else None
    try:
        situation = read_situation(given["situation"], now)
    except SituationRefused as refused:
        return {"refused": [list(error) for error in refused.errors]}
    return {"decision": assess(situation, _protocol(given["protocol"]))}


def _offer(given: Json) -> Json:
    now = datetime.fromisoformat(given["now"])
    return {"offer": offer(given["name"], given["site"], given["station"], now)}


def _sheet(given: Json) -> Json:
    """The sheet on `paper` in `language`, said from the catalogue that the page hands in."""
    paper, tag = given.pop("paper", "letter"), given.pop("language", "en")
    language = _language(tag, given.pop("decimal", "."), given.pop("catalogue", None))
    return as_json(compose(Given(**given), cautions=CAUTIONS, paper=paper, language=language))


def _language(tag: str, decimal: str, catalogue: dict[str, str] | None) -> Language:
    """The reader of a catalogue, which does not change while the page is open, built once."""
    if (tag, decimal) not in _spoken:
        _spoken[tag, decimal] = Language(catalogue, tag=tag, decimal=decimal)
    return _spoken[tag, decimal]


def _merge(given: Json) -> Json:
    return merge(given["base"], given["mine"], given["theirs"], given["chosen"])


def _conditions(given: Json) -> Json:
    """The decision on the readings since; `recall` if it is more cautious than the one that people work by."""
    found = conditions(given["situation"], given["lines"], _protocol(given["protocol"]), given["now"])
    return found | {"recall": is_recall(given["working_by"], found["decision"]["decision"])}


def _briefing(given: Json) -> Json:
    """The state of the briefing on `digest`, and which revisions stand."""
    records, voided = given["records"], given["voided"]
    state = briefing(given["digest"], records, given["lines"], given["names"], voided)
    return {"state": state, "standing": [one["digest"] for one in standing(records, voided)]}


def _protocol(text: str) -> Protocol:
    """The protocol in `text`, read once while it stays the same."""
    if text not in _read:
        _read.clear()
        _read[text] = read_protocol(text)
    return _read[text]


CALLS: dict[str, Callable[[Json], Json]] = {
    "assess": _assess,
    "offer": _offer,
    "sheet": _sheet,
    "plan": plan_call,
    "plan_asks": plan_asks_call,
    "plan_shown": plan_shown_call,
    "compute": compute_call,
    "merge": _merge,
    "conditions": _conditions,
    "briefing": _briefing,
}
