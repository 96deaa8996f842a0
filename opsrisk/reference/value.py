"""A published number as it was printed, with where it was printed and who looked when.

Nothing in this folder is a bare number: a limit that a supervisor relies on must lead back to a
page that somebody else can open. The value is kept as printed, in the printed unit, because a
converted figure can no longer be compared with the document by eye.
"""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Literal

from opsrisk.reference.units import UNITS, to_si

Status = Literal["read", "memory"]


@dataclass(frozen=True)
class Source:
    """One document: enough to find it again, and the terms under which its numbers may be used.

    `address` is where the text was read, or empty when the document itself was not seen.
    """

    title: str
    author: str = ""
    year: int | None = None
    edition: str = ""
    licence: str = ""
    address: str = ""


@dataclass(frozen=True)
class Published:
    """One number as printed: `value` in `unit`, found at `where` in `source`.

    `status` is "read" when the figure itself was seen in the text (the note says so when that text
    only quotes the document) and "memory" when nobody has seen it yet. `checked` is the day it was
    last compared with the text, `until` the day a later edition replaced it.
    Raises ValueError for a value that is no number, a unit that is unknown, or a status without its day.

    >>> knot = Published("1.0", "kn", source=Source("Rule"), where="(b)", checked=date(2026, 11, 25), status="read")
    >>> round(knot.si, 4)
    0.5144
    """

    value: str
    unit: str
    source: Source
    where: str
    checked: date | None
    status: Status
    note: str = ""
    until: date | None = None

    def __post_init__(self) -> None:
        Fraction(self.value)
        _refuse_bad_mark(self.unit, self.status, self.checked)

    @property
    def si(self) -> float:
        """The value in the unit that calculations use (see `units.UNITS`)."""
        return to_si(self.value, self.unit)


@dataclass(frozen=True)
class Table:
    """A printed table: `columns` as (name, unit), `rows` as printed, cell by cell.

    Raises ValueError for an unknown unit, a row of another width, or a status without its day.
    """

    columns: tuple[tuple[str, str], ...]
    rows: tuple[tuple[str, ...], ...]
    source: Source
    where: str
    checked: date | None
    status: Status
    note: str = ""
    until: date | None = None

    def __post_init__(self) -> None:
        for name, unit in self.columns:
            _refuse_bad_mark(unit, self.status, self.checked, name)
        for row in self.rows:
            if len(row) != len(self.columns):
                raise ValueError(f"row {row} has {len(row)} cells, the table has {len(self.columns)} columns")

    def column(self, name: str) -> tuple[float, ...]:
        """Every cell of the column `name`, in the unit that calculations use. Raises KeyError if absent."""
        names = [column for column, _ in self.columns]
        if name not in names:
            raise KeyError(name)
        place = names.index(name)
        return tuple(to_si(row[place], self.columns[place][1]) for row in self.rows)


def _refuse_bad_mark(unit: str, status: str, checked: date | None, name: str = "value") -> None:
    if unit not in UNITS:
        raise ValueError(f"{name}: unit {unit!r} is not one of {sorted(UNITS)}")
    if status not in ("read", "memory"):
        raise ValueError(f"status {status!r} is neither 'read' nor 'memory'")
    if (status == "read") != (checked is not None):
        raise ValueError("a value that was read carries the day it was checked; one from memory carries none")
