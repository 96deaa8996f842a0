"""A protocol document as tables that a safety officer reads: every limit with value, unit and source."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from opsrisk.protocols.places import LISTS, SECTIONS, Place, entry_at, places
from opsrisk.protocols.strips import Strip, strip
from opsrisk.protocols.words import (
    ABOLISHED,
    EFFECT_WORDS,
    KIND_WORDS,
    METHOD_WORDS,
    condition_words,
    source_words,
    spread_words,
    title_of,
)

TITLES = {
    "heading": "Heading",
    "lines": "Lines of the score",
    "recheck": "Looking again",
    "rules": "Stops, triggers and what the vehicle cannot do",
    "factors": "Points",
    "combinations": "Points for combinations",
    "controls": "Controls",
    "notes": "What is pointed out",
    "settings": "Numbers that computations use",
    "inputs": "What readings may be, how far they may be off, and how long they hold",
    "waivers": "Waivers: what the proof is told to let pass, and why",
    "not_assessed": "What every answer lists as not assessed",
}
ORDER = tuple(TITLES)
assert set(ORDER) == set(SECTIONS)  # noqa: S101 - a section left out would be a limit that nobody sees


@dataclass(frozen=True)
class Row:
    """One entry: `kind` is published, common practice or agency's choice; '' where there is no number."""

    place: Place
    what: str
    value: str
    unit: str
    kind: str
    source: str
    note: str
    when: str = ""
    strip: Strip | None = None  # the bands of a factor, drawn


@dataclass(frozen=True)
class Section:
    name: str
    title: str
    rows: tuple[Row, ...]

    @property
    def has_units(self) -> bool:
        return any(row.unit for row in self.rows)

    @property
    def plain(self) -> bool:
        """Whether the entries are words only, without numbers or sources."""
        return self.name in ("heading", "waivers", "not_assessed")


def sections(document: str) -> list[Section]:
    """The tables of one protocol document, in the order in which it is read."""
    given = json.loads(document)
    rows = [_row(given, place) for place in places(given)]
    return [Section(name, TITLES[name], tuple(row for row in rows if row.place.section == name)) for name in ORDER]


def _row(given: Mapping[str, Any], place: Place) -> Row:
    entry = entry_at(given, place)
    what = title_of(place, entry)
    if place.section in ("heading", "waivers"):
        return Row(place, what, entry or "", "", "", "", "")
    if place.section == "not_assessed":
        return Row(place, what, " ".join(entry), "", "", "", "")
    note = entry.get("note") or entry["source"].get("note", "")
    kind, source = KIND_WORDS[entry["source"]["kind"]], source_words(entry["source"])
    value, unit = _value(place, entry)
    when = condition_words(entry["when"]) if "when" in entry else ""
    drawn = strip(given, entry) if place.section == "factors" else None
    return Row(place, what, value, unit, kind, "" if source == kind else source, note, when, drawn)


def _value(place: Place, entry: Mapping[str, Any]) -> tuple[str, str]:
    unit = entry.get("unit", "points" if place.section == "lines" else "")
    if place.section in LISTS and place.section != "factors":
        return _rule(entry), ""
    if place.section == "factors":
        return "; ".join(f"{at}: {points}" for at, points in entry["points"]).replace("_", " "), unit
    return (_input(entry, unit) if place.section == "inputs" else entry["value"]), unit


def _rule(entry: Mapping[str, Any]) -> str:
    if entry["when"] is None:
        return ABOLISHED
    if "points" in entry:
        return f"{entry['points']} points"
    absolute = " (absolute: no override)" if entry.get("absolute") == "yes" else ""
    return EFFECT_WORDS.get(entry.get("effect", ""), entry.get("owner", "").replace("_", " ")) + absolute


def _input(entry: Mapping[str, Any], unit: str) -> str:
    words = ["from {} to {}".format(*entry["domain"])] if entry.get("domain") else []
    for how, spread in entry.get("spread", {}).items():
        words.append(f"{METHOD_WORDS[how].lower()} {spread_words(spread, unit) or 'exact'}")
    if entry.get("valid_minutes"):
        words.append(f"holds {entry['valid_minutes']} min")
    if "assume" in entry:
        words.append(f"not known is taken as {entry['assume']} {unit} under '{entry['waiver'].replace('_', ' ')}'")
    return "; ".join(words)
