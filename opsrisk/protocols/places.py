"""Where an entry stands in a protocol document, and the document with that entry changed.

A place is a section and an id, never a position, so that it still means the same after another edit:
`Place("rules", "deep")`, `Place("settings", "gas_rate")`, `Place("heading", "title")`.
"""

import copy
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from opsrisk.engine.parts import SETTINGS
from opsrisk.protocols.edits import EditRefused

LISTS = ("factors", "combinations", "rules", "controls", "notes")
TABLES = ("lines", "settings", "inputs")
HEADING = ("title", "version", "effective_from", "note")  # the author is whoever drafts, the id stays
SECTIONS = ("heading", "lines", "recheck", *LISTS, "settings", "inputs", "waivers", "not_assessed")
OPEN = (*LISTS, "waivers")  # sections that take new entries; the others are complete as they are
ID = re.compile(r"[a-z][a-z0-9_]{0,59}")
FAULT = re.compile(r"(?P<section>[a-z_]+)(?:\[(?P<number>\d+)\])?(?P<rest>.*)")


@dataclass(frozen=True)
class Place:
    section: str
    id: str

    def __str__(self) -> str:
        return f"{self.section}/{self.id}"


def read_place(text: str) -> Place:
    """The place written as `section/id`. Raises EditRefused."""
    section, _, name = text.partition("/")
    if section not in SECTIONS or not name:
        raise EditRefused("place", text, f"section/id, the section one of {', '.join(SECTIONS)}")
    return Place(section, name)


def places(document: Mapping[str, Any]) -> Iterator[Place]:
    """Every entry of a document that can be changed, in the order in which it is read."""
    for section in SECTIONS:
        if section == "heading":
            names = [name for name in HEADING if name in document or name == "note"]
        elif section == "recheck":
            names = ["interval"]
        elif section == "not_assessed":
            names = ["list"]
        elif section == "settings":
            names = [name for name in SETTINGS if name in document["settings"]]
        elif section in LISTS:
            names = [entry["id"] for entry in document[section]]
        else:
            names = list(document[section])
        yield from (Place(section, name) for name in names)


def entry_at(document: Mapping[str, Any], place: Place) -> Any:
    """The entry at `place`; None where there is none."""
    if place.section == "heading":
        return document.get(place.id) if place.id in HEADING else None
    if place.section == "recheck":
        return document["recheck"] if place.id == "interval" else None
    if place.section == "not_assessed":
        return document["not_assessed"] if place.id == "list" else None
    if place.section in LISTS:
        return next((entry for entry in document[place.section] if entry["id"] == place.id), None)
    return document[place.section].get(place.id)


def with_entry(document: Mapping[str, Any], place: Place, value: Any, source: Mapping[str, str] | None) -> Any:
    """A copy of `document` with the entry at `place` replaced, added, or with None removed. Raises EditRefused.

    `value` is everything of the entry but its id and source. The result may still be no protocol.
    """
    present = entry_at(document, place)
    if present is None and not (place.section == "heading" and place.id in HEADING):
        _check_new(document, place)
    changed = copy.deepcopy(dict(document))
    if value is None:
        return _without(changed, place, present)
    made = {**value, "source": dict(source)} if source is not None else value
    if place.section in ("heading", "recheck", "not_assessed"):
        changed[place.id if place.section == "heading" else place.section] = made
    elif place.section in LISTS:
        entries = changed[place.section]
        number = next((at for at, entry in enumerate(entries) if entry["id"] == place.id), len(entries))
        entries[number : number + 1] = [{"id": place.id, **made}]
    else:
        changed[place.section][place.id] = made
    return changed


def place_of(document: Mapping[str, Any], fault: str) -> tuple[Place, str] | None:
    """The entry that a fault of the protocol's reader names ('rules[5].when.worse_than'), and what follows it."""
    found = FAULT.fullmatch(fault)
    if not found or found["section"] not in (*SECTIONS, *HEADING):
        return None
    section, rest = found["section"], found["rest"].removeprefix(".")
    if section in HEADING:
        return Place("heading", section), rest
    if section in LISTS and found["number"] and int(found["number"]) < len(document[section]):
        return Place(section, document[section][int(found["number"])]["id"]), rest
    for place in places(document):
        if place.section == section and section in ("recheck", "not_assessed"):
            return place, rest
        if place.section == section and f"{rest}.".startswith(f"{place.id}."):
            return place, rest[len(place.id) + 1 :]
    return None


def _check_new(document: Mapping[str, Any], place: Place) -> None:
    if place.section not in OPEN:
        raise EditRefused("place", str(place), f"an entry that is there, or a new one of {', '.join(OPEN)}")
    if not ID.fullmatch(place.id):
        raise EditRefused("id", place.id, "small letters, digits and underscores, a letter first, at most 60")


def _without(changed: dict[str, Any], place: Place, present: Any) -> dict[str, Any]:
    if present is None or place.section not in OPEN:
        raise EditRefused("place", str(place), f"an entry that is there, of {', '.join(OPEN)}")
    if place.section == "waivers":
        del changed["waivers"][place.id]
    else:
        changed[place.section] = [entry for entry in changed[place.section] if entry["id"] != place.id]
    return changed
