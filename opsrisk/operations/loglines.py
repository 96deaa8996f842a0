"""Reading one line of a conditions log, as a tablet sends it. Nothing is looked up, stored or repaired here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from opsrisk.assessment import commander
from opsrisk.assessment.fields import READINGS
from opsrisk.assessment.record import canonical, digest
from opsrisk.assessment.situation import SituationRefused, read_situation
from opsrisk.assessment.told import ITEMS
from opsrisk.engine.inputs import DECISIONS
from opsrisk.operations.opened import Named
from opsrisk.operations.records import DEVICE, OPERATION, PHOTO, Reader, parsed, read_photo

FORMAT = "opsrisk.log/1"
LINE: Mapping[str, Any] = {
    "format": str, "id": str, "operation": dict, "kind": str, "at": str, "by": str, "device": dict, "content": dict,
}  # fmt: skip
CONTENT: Mapping[str, Mapping[str, Any]] = {
    "reading": {"field": str, "reading": dict},
    "recall": {"from": str, "to": str, "because": str, "reading": str},
    "acknowledged": {"recall": str, "after_s": int},
    "briefing": {"record": str, "present": list},
    "read_back": {"record": str, "loop": str, "task": dict, "limit": dict, "abort": dict, "heard_by": str},
    "commander": {
        "record": str, "name": str, "decision": dict, "risk": dict, "gain": dict, "accepts": bool, "heard_by": str,
    },
    "photo": PHOTO,
}  # fmt: skip
SAID: Mapping[str, Any] = {"said": str, "right": bool}
MOST_PRESENT = 60
LONGEST_SAID = 400
LONGEST_NAME = 80
LONGEST_WAIT_S = 7 * 24 * 3600  # an alarm that nobody heard for a week was not an alarm


@dataclass(frozen=True)
class Line:
    document: Mapping[str, Any]
    digest: str
    id: UUID
    operation: Named
    kind: str
    at: datetime
    by: UUID


def read_line(body: bytes) -> Line:
    """The line in `body`. Raises Refused naming every field that is wrong."""
    document = parsed(body)
    reader = Reader()
    top = reader.table("", document, LINE)
    reader.stop()
    if top["format"] != FORMAT:
        reader.fault("format", top["format"], FORMAT)
    operation = reader.table("operation", top["operation"], OPERATION)
    reader.table("device", top["device"], DEVICE)
    kind = reader.one_of("kind", top["kind"], tuple(CONTENT))
    reader.stop()
    at = reader.moment("at", top["at"])
    _check(reader, kind, reader.table("content", top["content"], CONTENT[kind]), top["at"])
    named = Named(
        id=reader.uuid("operation.id", operation["id"]),
        title=reader.text("operation.title", operation["title"], 200),
        site=reader.uuid("operation.site", operation["site"]) if operation["site"] else None,
        place=reader.text("operation.place", operation["place"], 300, empty=True),
    )
    by, own = reader.uuid("by", top["by"]), reader.uuid("id", top["id"])
    reader.stop()
    return Line(document=top, digest=digest(top), id=own, operation=named, kind=kind, at=at, by=by)


def _check(reader: Reader, kind: str, content: Mapping[str, Any], at: str) -> None:
    if not content:
        return
    if kind == "reading":
        _check_reading(reader, content, at)
    elif kind == "recall":
        reader.one_of("content.from", content["from"], DECISIONS)
        reader.one_of("content.to", content["to"], DECISIONS)
        reader.text("content.because", content["because"], 1000)
        reader.uuid("content.reading", content["reading"])
    elif kind == "briefing":
        _check_briefing(reader, content)
    elif kind == "read_back":
        _check_read_back(reader, content)
    elif kind == "commander":
        _check_commander(reader, content)
    elif kind == "photo":
        read_photo(reader, "content", content)
    else:
        reader.uuid("content.recall", content["recall"])
        if not 0 <= content["after_s"] <= LONGEST_WAIT_S:
            reader.fault("content.after_s", content["after_s"], f"0 to {LONGEST_WAIT_S} seconds")


def _check_briefing(reader: Reader, content: Mapping[str, Any]) -> None:
    """A round begins: on which record, and who is present."""
    reader.hexadecimal("content.record", content["record"])
    present = content["present"]
    if not 1 <= len(present) <= MOST_PRESENT or not all(isinstance(one, str) for one in present):
        reader.fault("content.present", len(present), f"1 to {MOST_PRESENT} people, each as text")
    elif len(set(present)) < len(present):
        reader.fault("content.present", f"{len(present)} entries", "each person once")
    else:
        for place, one in enumerate(present):
            reader.text(f"content.present[{place}]", one, 80)


def _check_read_back(reader: Reader, content: Mapping[str, Any]) -> None:
    """What one person said, item by item, and who heard it: words, never a mark that it was understood."""
    reader.hexadecimal("content.record", content["record"])
    loop = reader.text("content.loop", content["loop"], 80)
    _check_said(reader, content, ITEMS)
    heard_by = reader.uuid("content.heard_by", content["heard_by"])
    if loop == str(heard_by):
        reader.fault("content.heard_by", content["heard_by"], "somebody else than who said it")


def _check_commander(reader: Reader, content: Mapping[str, Any]) -> None:
    """The incident commander by name, what was said item by item, and who heard it: a mark alone is refused."""
    reader.hexadecimal("content.record", content["record"])
    reader.text("content.name", content["name"], LONGEST_NAME)
    _check_said(reader, content, commander.ITEMS)
    reader.uuid("content.heard_by", content["heard_by"])


def _check_said(reader: Reader, content: Mapping[str, Any], items: Iterable[str]) -> None:
    for item in items:
        said = reader.table(f"content.{item}", content[item], SAID)
        if said:
            reader.text(f"content.{item}.said", said["said"], LONGEST_SAID)


def _check_reading(reader: Reader, content: Mapping[str, Any], at: str) -> None:
    """A reading is held against the same table as in an assessment."""
    section, _, name = content["field"].partition(".")
    if section != "readings" or name not in READINGS:
        reader.fault("content.field", content["field"], ", ".join(f"readings.{one}" for one in READINGS))
        return
    whole = {"format": "opsrisk.situation/1", "assessed_at": at, "readings": {name: content["reading"]}}
    try:
        read_situation(canonical(whole))
    except SituationRefused as refused:
        for field, value, accepted in refused.errors:
            reader.fault(f"content.reading ({field})", value, accepted)
