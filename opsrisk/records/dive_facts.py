"""What a dive record takes over from a signed assessment: who was there, who was in charge, what the water was like."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any

from opsrisk.agencies.models import Person
from opsrisk.assessment.words import POSITION_NAMES
from opsrisk.operations.models import Assessment, Operation
from opsrisk.records.conditions import CONDITIONS, shown


@dataclass(frozen=True)
class Taken:
    """Of one assessment; empty where none was signed."""

    digest: str = ""
    words: str = "no assessment"
    in_charge: str = ""
    team: tuple[str, ...] = ()
    conditions: dict[str, Any] = field(default_factory=dict)
    mode: str = ""

    @property
    def shown(self) -> list[tuple[str, str]]:
        return shown(self.conditions)


def of_operation(operation: Operation) -> list[Taken]:
    """Of every assessment that is not void, the one in force first, then the newest."""
    rows = operation.assessments.filter(voided_at__isnull=True).select_related("made_by")
    newest = sorted(rows, key=lambda row: (row.stands, row.revision, row.assessed_at), reverse=True)
    roster = {str(pk): name for pk, name in Person.objects.filter(agency=operation.agency_id).values_list("pk", "name")}
    return [_taken(row, roster) for row in newest]


def _taken(row: Assessment, roster: dict[str, str]) -> Taken:
    situation = json.loads(row.record)["situation"]
    written = {one["id"]: one["name"] for one in situation.get("people") or () if one.get("name")}
    names = roster | written
    filled = {
        position: str(names.get(entry["person"], entry["person"]))
        for position, entry in (situation.get("positions") or {}).items()
        if isinstance(entry, dict) and entry.get("person")
    }
    lines = [f"{POSITION_NAMES.get(position, position)}: {name}" for position, name in filled.items()]
    lines += [name for name in written.values() if name not in filled.values()]
    readings = situation.get("readings") or {}
    return Taken(
        digest=row.digest,
        words=f"revision {row.revision}, assessed {row.assessed_at:%Y-%m-%d %H:%M} UTC"
        + (", in force" if row.stands else ""),
        in_charge=filled.get("supervisor", row.made_by.name),
        team=tuple(lines),
        conditions={name: readings[name] for name in CONDITIONS if isinstance(readings.get(name), dict)},
        mode=str((situation.get("dive") or {}).get("breathing", "")),
    )
