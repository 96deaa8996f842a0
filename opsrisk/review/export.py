"""The list as CSV: units in the column names, every column defined, no cell that runs as a formula."""

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from opsrisk.operations.models import Assessment, Debrief
from opsrisk.reference.units import from_si, to_si
from opsrisk.review.listing import Reader, assessments, in_order
from opsrisk.review.models import InForce

RUNS_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
Read = Callable[[Assessment, dict[str, Any]], object]


@dataclass(frozen=True)
class Column:
    name: str
    unit: str
    meaning: str
    read: Read


def guarded(value: object) -> str:
    """A cell that a spreadsheet shows as text: text that would start a formula gets an apostrophe in front.

    Numbers are left alone, so that a negative one stays a number.
    """
    if value is None:
        return ""
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        return str(value)
    text = str(value)
    return f"'{text}" if text.lstrip(" ").startswith(RUNS_AS_FORMULA) else text


def listed(asked: dict[str, Any], person: Reader) -> QuerySet[InForce]:
    """The list as asked for, with everything that a line needs."""
    rows = in_order(assessments(person, asked), asked["sort"])
    related = ("operation__site", "protocol", "made_by", "override_second")
    rows = rows.select_related(*(f"assessment__{name}" for name in related))
    rows = rows.defer("assessment__server_document", "assessment__receipt", "assessment__protocol__document")
    return rows.prefetch_related("assessment__operation__debriefs")


def whole(asked: dict[str, Any], person: Reader) -> Iterator[Assessment]:
    """All assessments of the list, a few at a time."""
    for row in listed(asked, person).iterator(chunk_size=200):
        yield row.assessment


def lines(rows: Iterable[Assessment]) -> Iterator[str]:
    """The CSV, header first, a line at a time."""
    yield _line([column.name for column in COLUMNS])
    for row in rows:
        record = json.loads(row.record)
        yield _line([guarded(column.read(row, record)) for column in COLUMNS])


def as_values(row: Assessment) -> dict[str, int | str | None]:
    """One row by column name for programs: whole numbers, quantities as decimal strings, nothing where nothing is."""
    record = json.loads(row.record)
    found = {column.name: column.read(row, record) for column in COLUMNS}
    return {name: value if value is None or isinstance(value, int) else str(value) for name, value in found.items()}


def definitions() -> Iterator[str]:
    """What each column holds, as CSV."""
    yield _line(["column", "unit", "definition"])
    for column in COLUMNS:
        yield _line([column.name, column.unit, column.meaning])


def _line(cells: list[str]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow(cells)
    return out.getvalue()


def _reading(name: str, unit: str, places: int) -> Read:
    """The value of a reading in one unit for all rows; nothing where it was not known."""

    def read(_: Assessment, record: dict[str, Any]) -> object:
        entry = record["situation"].get("readings", {}).get(name)
        if not isinstance(entry, dict) or entry.get("value", "unknown") == "unknown":
            return None
        return Decimal(from_si(to_si(entry["value"], entry["unit"]), unit, places))

    return read


def _debrief(assessment: Assessment) -> Debrief | None:
    """The one that stands: the last by number."""
    return max(assessment.operation.debriefs.all(), key=lambda one: one.number, default=None)


def _told(field: str) -> Read:
    return lambda a, _: getattr(_debrief(a), field, None)


def _yes(value: bool) -> str:
    return "yes" if value else "no"


COLUMNS = (
    Column("operation_id", "", "identifier of the operation", lambda a, _: a.operation_id),
    Column("assessment_id", "", "identifier of the assessment in force", lambda a, _: a.pk),
    Column("revision", "count", "which assessment of the operation this is, from 1", lambda a, _: a.revision),
    Column("title", "", "title of the operation", lambda a, _: a.operation.title),
    Column(
        "site",
        "",
        "site by name; empty where none was chosen",
        lambda a, _: a.operation.site.name if a.operation.site else None,
    ),
    Column("kind", "", "rescue, recovery, evidence, object, inspection or training", lambda a, _: a.operation.kind),
    Column(
        "called_at_utc", "ISO 8601, UTC", "when the team was called", lambda a, _: a.operation.called_at.isoformat()
    ),
    Column("assessed_at_utc", "ISO 8601, UTC", "when the assessment was made", lambda a, _: a.assessed_at.isoformat()),
    Column(
        "score_points",
        "points, 0 to 100",
        "exposure of divers; judgement, no probability; empty: none",
        lambda a, _: a.score,
    ),
    Column("decision", "", "what the tool computed", lambda a, _: a.decision),
    Column(
        "own_decision",
        "",
        "the supervisor's own judgement, before seeing the computed one",
        lambda a, _: a.own_decision,
    ),
    Column("chosen_decision", "", "what was done", lambda a, _: a.chosen_decision),
    Column(
        "override",
        "yes or no",
        "whether another decision was chosen than computed",
        lambda a, _: _yes(a.chosen_decision != a.decision),
    ),
    Column("override_reason", "", "why, in the supervisor's words", lambda a, _: a.override_reason or None),
    Column(
        "override_second",
        "",
        "who agreed to less caution",
        lambda a, _: a.override_second.name if a.override_second else None,
    ),
    Column(
        "server_differs",
        "yes or no",
        "whether the server decided otherwise than the tablet",
        lambda a, _: _yes(a.differs),
    ),
    Column("protocol_id", "", "protocol under which it was decided", lambda a, _: a.protocol.protocol_id),
    Column(
        "protocol_version",
        "",
        "its version; scores of two versions are not comparable",
        lambda a, _: a.protocol.version,
    ),
    Column("supervisor", "", "who decided", lambda a, _: a.made_by.name),
    Column("current_kn", "knots", "current at the work depth; empty: not known", _reading("current", "kn", 2)),
    Column("visibility_ft", "feet", "underwater visibility; empty: not known", _reading("visibility", "ft", 1)),
    Column("depth_ft", "feet", "depth at the target; empty: not known", _reading("depth", "ft", 1)),
    Column(
        "water_temperature_c",
        "degrees Celsius",
        "water temperature; empty: not known",
        _reading("water_temperature", "C", 1),
    ),
    Column(
        "outcome", "", "what came of the operation; empty while it is open", lambda a, _: a.operation.outcome or None
    ),
    Column("debriefed", "yes or no", "whether a debrief was written", lambda a, _: _yes(_debrief(a) is not None)),
    Column("injuries", "", "who was hurt: none, minor, serious, death, unknown; empty: no debrief", _told("injuries")),
    Column(
        "near_miss", "", "whether something nearly went wrong: yes, no, unknown; empty: no debrief", _told("near_miss")
    ),
    Column("found_by", "", "who found the target; empty: no debrief", _told("found_by")),
    Column("looking_back", "", "right, too_bold, too_cautious or unknown; empty: no debrief", _told("looking_back")),
    Column("diver_minutes", "minutes", "all divers together; empty: not known or no debrief", _told("diver_minutes")),
    Column(
        "vehicle_minutes", "minutes", "vehicle in the water; empty: not known or no debrief", _told("vehicle_minutes")
    ),
    Column("record_sha256", "hexadecimal", "digest of the signed record", lambda a, _: a.digest),
)
