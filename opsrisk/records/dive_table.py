"""Dive records as CSV: units in the column names, every column defined, no cell that runs as a formula."""

import csv
import io
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC
from decimal import Decimal

from opsrisk.records.models import DiveRecord
from opsrisk.reference.units import from_si, to_si
from opsrisk.review.export import guarded


@dataclass(frozen=True)
class Column:
    name: str
    unit: str
    meaning: str
    read: Callable[[DiveRecord], object]


def lines(rows: Iterable[DiveRecord]) -> Iterator[str]:
    """The CSV, header first, a line at a time."""
    yield _line([column.name for column in COLUMNS])
    for row in rows:
        yield _line([guarded(column.read(row)) for column in COLUMNS])


def definitions() -> Iterator[str]:
    """What each column holds, as CSV."""
    yield _line(["column", "unit", "definition"])
    for column in COLUMNS:
        yield _line([column.name, column.unit, column.meaning])


def _line(cells: list[str]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow(cells)
    return out.getvalue()


def _depth(unit: str) -> Callable[[DiveRecord], object]:
    def read(row: DiveRecord) -> object:
        if row.max_depth is None:
            return None
        if row.depth_unit == unit:
            return row.max_depth
        return Decimal(from_si(to_si(row.max_depth, row.depth_unit), unit, 1))

    return read


def _utc(name: str) -> Callable[[DiveRecord], object]:
    return lambda row: getattr(row, name).astimezone(UTC).isoformat()


def _plain(name: str) -> Callable[[DiveRecord], object]:
    return lambda row: getattr(row, name)


COLUMNS = (
    Column("operation_id", "", "identifier of the operation", _plain("operation_id")),
    Column("operation", "", "title of the operation", lambda row: row.operation.title),
    Column("dive", "count", "which dive of the operation, from 1 in the order of entry", _plain("dive")),
    Column("record_number", "count", "which record of this dive stands; above 1: corrected", _plain("number")),
    Column("correction_reason", "", "why it replaces the record before; empty: first record", _plain("reason")),
    Column("diver", "", "who dived, by name at that time", _plain("diver_name")),
    Column(
        "other_agency", "yes or no", "whether the diver is of another agency", lambda r: "no" if r.diver_id else "yes"
    ),
    Column("person_in_charge", "", "who was in charge of the dive", _plain("in_charge")),
    Column("team", "", "team members, separated by semicolons", lambda row: "; ".join(row.team.splitlines())),
    Column("place", "", "where the dive was", _plain("place")),
    Column("in_at_utc", "ISO 8601, UTC", "when the diver left the surface", _utc("in_at")),
    Column("out_at_utc", "ISO 8601, UTC", "when the diver was back at the surface", _utc("out_at")),
    Column("mode", "", "scuba, surface_supplied or other", _plain("mode")),
    Column("mode_words", "", "which other mode of breathing", _plain("mode_words")),
    Column("work", "", "general nature of the work", _plain("work")),
    Column(
        "conditions",
        "units within",
        "visibility, water temperature and current as the signed assessment says them",
        lambda row: (
            "; ".join(f"{label}: {words}" for label, words in row.conditions_shown) if row.from_record else None
        ),
    ),
    Column("conditions_words", "", "where the water was otherwise, in words", _plain("conditions_words")),
    Column("conditions_sha256", "hexadecimal", "digest of that assessment; empty: none", _plain("from_record")),
    Column("max_depth_ft", "feet", "maximum depth; empty: not known", _depth("ft")),
    Column("max_depth_m", "metres", "the same depth in metres", _depth("m")),
    Column("max_depth_unit", "", "the unit in which the depth was typed", _plain("depth_unit")),
    Column(
        "bottom_min",
        "minutes",
        "bottom time, from leaving the surface to leaving the bottom; empty: not known",
        _plain("bottom_minutes"),
    ),
    Column("decompression_suspected", "", "decompression sickness: no, yes or unknown", _plain("decompression")),
    Column("injury_suspected", "", "injury: no, yes or unknown", _plain("injury")),
    Column("incidents", "", "unusual incidents", _plain("incidents")),
    Column("kept_by", "", "who entered the record", lambda row: row.by.name),
    Column("kept_at_utc", "ISO 8601, UTC", "when it was entered", _utc("at")),
    Column("record_sha256", "hexadecimal", "digest of the record, as in the log", _plain("sha256")),
)
