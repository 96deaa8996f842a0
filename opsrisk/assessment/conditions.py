"""What the readings since the assessment make of it: the decision now, and when each reading has to be taken again."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from opsrisk.assessment.assess import assess
from opsrisk.assessment.record import canonical
from opsrisk.assessment.situation import Situation, read_situation
from opsrisk.engine.inputs import DECISIONS, INPUTS
from opsrisk.engine.parts import Protocol

Json = dict[str, Any]


def conditions(situation: Mapping[str, Any], lines: Sequence[Mapping[str, Any]], protocol: Protocol, now: str) -> Json:
    """The signed situation with the newest reading of each kind in `lines`, decided anew at `now`.

    `lines` are contents of log lines, {"field", "reading"}, oldest first; of two of one kind the later in the log
    counts, since a tablet's clock orders nothing. Raises SituationRefused where a reading is none.
    """
    document = copy.deepcopy(dict(situation)) | {"assessed_at": now}
    for line in lines:
        section, _, name = line["field"].partition(".")
        inner = document.get(section)
        document[section] = (inner if isinstance(inner, dict) else {}) | {name: line["reading"]}
    read = read_situation(canonical(document))
    return {"decision": assess(read, protocol), "due": due(read, protocol), "situation": read.document}


def due(situation: Situation, protocol: Protocol) -> list[Json]:
    """Every reading that is known, with the time it was taken and the time at which it is too old."""
    found = []
    for name in (name for name in INPUTS if name.startswith("readings.")):
        given = situation.measured(name)
        if given is None:
            continue
        taken = given.at or situation.assessed_at
        rule = protocol.inputs.get(name)
        minutes = rule.valid_minutes if rule and rule.valid_minutes is not None else protocol.recheck_minutes
        until = taken + timedelta(minutes=minutes)
        row = {"field": name, "label": INPUTS[name].label, "shown": given.shown}
        found.append(row | {"taken": _moment(taken), "until": _moment(until)})
    return sorted(found, key=lambda row: row["until"])


def is_recall(before: str, now: str) -> bool:
    """Whether the decision has become more cautious than the one that people work by."""
    return DECISIONS.index(now) > DECISIONS.index(before)


def _moment(at: datetime) -> str:
    return at.isoformat(timespec="seconds")
