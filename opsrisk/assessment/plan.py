"""The plan of one operation: the few numbers that matter now, each with its inputs, method, error, source and page.

What cannot be computed is listed with the answer that is missing; what a computation refuses is listed with its reason.
Quantities are decimal strings, so that the digest is the same on a server and on a tablet.
"""

import json
from collections.abc import Mapping, Sequence
from typing import Any

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.computations.entry import Computation
from opsrisk.assessment.computations.reading import missing, shown
from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.registry import COMPUTATIONS, compute
from opsrisk.assessment.computed import facts_of
from opsrisk.assessment.planning.headlines import headline, warnings
from opsrisk.assessment.planning.inputs import PlanInputs, read_plan_inputs
from opsrisk.assessment.planning.known import Known
from opsrisk.assessment.planning.subjects import SUBJECTS, Filled, Subject
from opsrisk.assessment.record import digest
from opsrisk.assessment.situation import Situation, read_situation
from opsrisk.engine.parts import Protocol
from opsrisk.engine.protocol import read_protocol

FORMAT = "opsrisk.plan/1"
PLAN, USUAL, NOT_KNOWN = "plan", "usual value", "not known"
MOST_LINES, LONGEST_LINE = 9, 90
# Windows of one current, by what is known of it: a table or a dam's schedule stands in for a station.
WINDOWS = ("station_windows", "table_windows", "river_windows")

Json = dict[str, Any]


def plan(situation: str | bytes, inputs: str | bytes | None, protocol: str | bytes) -> Json:
    """The plan document from three JSON texts. Raises SituationRefused, PlanRefused or ProtocolRefused."""
    return plan_of(read_situation(situation), read_plan_inputs(inputs), read_protocol(protocol))


def plan_of(situation: Situation, inputs: PlanInputs, protocol: Protocol) -> Json:
    """The plan document `opsrisk.plan/1` of one situation, with the plan's own inputs, under a protocol."""
    known = Known(situation, protocol, facts_of(situation, protocol))
    found: Json = {"numbers": [], "missing": [], "refused": []}
    for subject in SUBJECTS:
        if _looked_at(subject, known, inputs):
            place, entry = _subject(subject, known, inputs)
            found[place].append(entry)
    document = {
        "format": FORMAT,
        "assessed_at": situation.document["assessed_at"],
        "units": inputs.units,
        **found,
        "warnings": [
            {"computation": one["computation"], "text": text} for one in found["numbers"] for text in one["warnings"]
        ],
        "protocol": {"id": protocol.id, "version": protocol.version},
        "cautions": list(CAUTIONS),
    }
    return document | {"digest": digest(document | {"situation": situation.document})}


def _looked_at(subject: Subject, known: Known, inputs: PlanInputs) -> bool:
    """A subject that is named, or applies; a station is not asked for where a table or schedule stands in for it."""
    if subject.name in inputs.sections:
        return True
    if subject.name in WINDOWS and any(name in inputs.sections for name in WINDOWS):
        return False
    return subject.applies(known)


def _subject(subject: Subject, known: Known, inputs: PlanInputs) -> tuple[str, Json]:
    """Where a subject belongs, numbers, missing or refused, and what is said there."""
    entry = COMPUTATIONS[subject.name]
    filled, own = subject.fill(known), inputs.sections.get(subject.name, {})
    for given, taken in subject.instead:
        if given in own:
            filled.pop(taken, None)
    document = {name: given for name, (given, _) in filled.items() if given is not None} | dict(own)
    head: Json = {"computation": entry.name, "title": entry.title}
    lacking = missing(entry, document)
    if lacking:
        needs = [{"field": one.name, "words": _why_missing(one.name, one.words, known)} for one in lacking]
        return "missing", head | {"needs": needs, "page": f"docs/computations/{entry.page}.md"}
    try:
        answer = compute(entry.name, document | {"units": inputs.units})
    except ComputationRefused as refused:
        reasons = [dict(zip(("field", "given", "accepted"), error, strict=True)) for error in refused.errors]
        return "refused", head | {"reasons": reasons, "page": f"docs/computations/{entry.page}.md"}
    answers = {one["name"]: one for one in answer["answers"]}
    return "numbers", head | {
        "question": entry.question,
        "headline": headline(entry.name, answers, document),
        "answers": answer["answers"],
        "inputs": _inputs(entry, answer["taken"], filled, own),
        "given": _without_constituents(answer["inputs"]),
        "method": answer["method"],
        "limits": answer["limits"],
        "sources": answer["sources"],
        "page": answer["page"],
        "picture": subject.picture,
        "warnings": warnings(entry.name, answers, known),
    }


_READINGS = {
    "depth": "readings.depth", "current": "readings.current", "measured": "readings.current",
    "air_temperature": "readings.air_temperature", "clear": "readings.ice_thickness",
}  # fmt: skip


def _why_missing(field: str, words: str, known: Known) -> str:
    stale = field in _READINGS and known.too_old(_READINGS[field])
    return f"{words}: the reading is too old" if stale else words


def _inputs(entry: Computation, taken: Sequence[Json], filled: Filled, own: Mapping[str, Any]) -> list[Json]:
    """Every input as it was taken, and from where."""
    found = []
    for one in taken:
        name = one["input"]
        given = {"usual": USUAL, "not known": NOT_KNOWN}.get(one["state"])
        origin = given or (PLAN if name in own else filled[name][1])
        found.append({"words": entry.ask(name).words, "shown": one["shown"], "from": origin, "why": one["why"]})
    return found


def _without_constituents(document: Json) -> Json:
    """The inputs as given; a station by its name, since its constituents are published and long."""
    station = document.get("station")
    if not isinstance(station, Mapping):
        return document
    return document | {"station": {"id": str(station.get("id")), "name": shown(station)}}


def plan_lines(document: Mapping[str, Any]) -> list[str]:
    """At most nine short lines for a sheet: the numbers in their order, then what was refused."""
    lines = [str(one["headline"]) for one in document["numbers"]]
    refused = [f"{one['title']}: not given" for one in document["refused"]]
    return [_short(line) for line in [*lines, *refused][:MOST_LINES]]


def saved_words(document: Mapping[str, Any]) -> str:
    """What stands beside a decision for the vehicle: the diver-minutes that it saves; "" where nobody worked it out."""
    answers: list[Json] = next(
        (one["answers"] for one in document["numbers"] if one["computation"] == "search_effort"), []
    )
    found = {one["name"]: str(one.get("plan_on") or "0") for one in answers}
    if float(found.get("saved", "0")) <= 0:
        return ""
    chance = f"{found['chance']} % chance of finding it"
    return f"With the vehicle, {found['saved']} diver-minutes under water are saved, for the same {chance}."


def _short(line: str) -> str:
    return line if len(line) <= LONGEST_LINE else line[: LONGEST_LINE - 1].rstrip() + "…"


def as_text(document: Mapping[str, Any]) -> str:
    """The document as JSON text, for a caller in another language."""
    return json.dumps(document, ensure_ascii=False)
