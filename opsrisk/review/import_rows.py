"""Rows of a file of past operations: each is good, bad with its reasons, or here already."""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from opsrisk.agencies.refusals import SHOWN
from opsrisk.operations.models import Debrief, Decision, Operation
from opsrisk.reference.units import to_si
from opsrisk.review.export import guarded
from opsrisk.review.import_columns import COLUMNS, MOST_SEEN, NAMES, About, Wrong
from opsrisk.review.import_table import Line

DIVED = (Debrief.FoundBy.DIVERS, Debrief.FoundBy.BOTH)
LOOKED = (Debrief.FoundBy.VEHICLE, Debrief.FoundBy.BOTH)
NO_DIVER = (Decision.VEHICLE_ONLY, Decision.HOLD)


@dataclass(frozen=True)
class Fault:
    field: str
    given: str
    accepted: str

    def __str__(self) -> str:
        return f"{self.field}: given {self.given[:SHOWN]!r}, accepted {self.accepted}"


@dataclass(frozen=True)
class Past:
    """A past operation, read."""

    line: int
    title: str
    kind: str
    site: UUID | None
    place: str
    called_at: datetime
    closed_at: datetime
    done: str
    outcome: str
    injuries: str
    near_miss: str
    found_by: str
    diver_minutes: int | None
    vehicle_minutes: int | None
    visibility: str | None
    visibility_unit: str
    own_reference: str

    @property
    def visibility_m(self) -> float | None:
        return None if self.visibility is None else to_si(self.visibility, self.visibility_unit)

    @property
    def words(self) -> dict[str, str]:
        """What was chosen out of a list, as people read it."""
        lists = (
            ("kind", Operation.Kind), ("done", Decision), ("injuries", Debrief.Injuries),
            ("near_miss", Debrief.NearMiss), ("found_by", Debrief.FoundBy),
        )  # fmt: skip
        return {name: str(choices(getattr(self, name)).label) for name, choices in lists}

    @property
    def same(self) -> tuple[str, datetime]:
        """Two rows with this alike are one operation."""
        return self.title.lower(), self.called_at


@dataclass(frozen=True)
class LeftOut:
    line: Line
    faults: tuple[Fault, ...]

    @property
    def reason(self) -> str:
        return " | ".join(map(str, self.faults))


@dataclass(frozen=True)
class Here:
    """What the agency has already."""

    references: Mapping[str, str]  # to the title
    operations: frozenset[tuple[str, datetime]]


def read_rows(lines: Iterable[Line], about: About) -> tuple[list[tuple[Line, Past]], list[LeftOut]]:
    """The rows that can be taken in, and those that cannot, with every reason."""
    good, bad = [], []
    for line in lines:
        past, faults = read_row(line, about)
        if past is None:
            bad.append(LeftOut(line, tuple(faults)))
        else:
            good.append((line, past))
    return good, bad


def read_row(line: Line, about: About) -> tuple[Past | None, list[Fault]]:
    if len(line.cells) != len(NAMES):
        return None, [Fault("row", f"{len(line.cells)} cells", f"{len(NAMES)} cells, one for each column")]
    faults: list[Fault] = []
    values: dict[str, Any] = {}
    for column, cell in zip(COLUMNS, line.cells, strict=True):
        text = unguarded(cell.strip()).strip()
        try:
            values[column.name] = column.read(text, about)
        except Wrong as wrong:
            faults.append(Fault(column.name, text, str(wrong)))
    faults += _conflicts(values)
    return (None, faults) if faults else (Past(line.number, **values), [])


def unguarded(text: str) -> str:
    """Without the apostrophe that our own files put before what would start a formula."""
    return text[1:] if text.startswith("'") and guarded(text[1:]) == text else text


def _conflicts(values: Mapping[str, Any]) -> Iterator[Fault]:
    """Cells that are good alone and not together; cells that could not be read are passed over."""
    called, closed = values.get("called_at"), values.get("closed_at")
    if called and closed and closed < called:
        yield Fault("closed_at", closed.isoformat(), f"a time not before called_at, {called.isoformat()}")
    if "site" in values and values["site"] is None and not values.get("place", "-"):
        yield Fault("place", "", "a place where there is no site")
    yield from _minutes_agree(values)
    if "visibility" in values and "visibility_unit" in values:
        yield from _unit_agrees(values["visibility"], values["visibility_unit"])


def _minutes_agree(values: Mapping[str, Any]) -> Iterator[Fault]:
    found, done = values.get("found_by"), values.get("done")
    divers, vehicle = (values.get(name) for name in ("diver_minutes", "vehicle_minutes"))
    if found in DIVED and divers == 0:
        yield Fault("diver_minutes", "0", f"more than 0 where found_by is {found}, or: not known")
    if found in LOOKED and vehicle == 0:
        yield Fault("vehicle_minutes", "0", f"more than 0 where found_by is {found}, or: not known")
    if done in NO_DIVER and divers:
        yield Fault("diver_minutes", str(divers), f"0 or not known where done is {done}: no diver went in")
    if done in NO_DIVER and found in DIVED:
        yield Fault("found_by", found, f"nobody who dived where done is {done}: no diver went in")
    if done == Decision.HOLD and vehicle:
        yield Fault("vehicle_minutes", str(vehicle), "0 or not known where done is hold: nothing went in")


def _unit_agrees(value: str | None, unit: str) -> Iterator[Fault]:
    if value is None and unit:
        yield Fault("visibility_unit", unit, "nothing where the visibility is not known")
    elif value is not None and not unit:
        yield Fault("visibility_unit", "", "ft or m beside a visibility")
    elif value is not None and float(value) > MOST_SEEN[unit]:
        yield Fault("visibility", f"{value} {unit}", f"0 to {MOST_SEEN[unit]} {unit}")


def new_ones(good: Iterable[tuple[Line, Past]], here: Here) -> tuple[list[Past], list[LeftOut]]:
    """The rows of operations that are not here and stood no earlier in the file; the others, with what they repeat."""
    new: list[Past] = []
    repeated: list[LeftOut] = []
    references = {name: f"{title}, which is here already" for name, title in here.references.items()}
    operations = dict.fromkeys(here.operations, "an operation that is here already")
    for line, past in good:
        faults = list(_repeats(past, references, operations))
        if faults:
            repeated.append(LeftOut(line, tuple(faults)))
            continue
        new.append(past)
        operations[past.same] = f"line {past.line} of this file"
        if past.own_reference:
            references[past.own_reference] = f"line {past.line} of this file"
    return new, repeated


def _repeats(
    past: Past, references: Mapping[str, str], operations: Mapping[tuple[str, datetime], str]
) -> Iterator[Fault]:
    if past.own_reference in references:
        yield Fault("own_reference", past.own_reference, f"one that is not that of {references[past.own_reference]}")
    if past.same in operations:
        given = f"{past.title}, {past.called_at.isoformat()}"
        yield Fault("title and called_at", given, f"not those of {operations[past.same]}")


def digest_of(rows: Iterable[Past]) -> str:
    """Of rows as they would be taken in: what a page showed is what is confirmed."""
    found = hashlib.sha256()
    for row in rows:
        found.update(json.dumps(vars(row), default=str, sort_keys=True).encode() + b"\n")
    return found.hexdigest()
