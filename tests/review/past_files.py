"""Files of past operations, row by row."""

import csv
import io
from datetime import UTC, datetime

from opsrisk.review.import_actions import bring_import, confirm_import, read_waiting
from opsrisk.review.import_columns import NAMES

AT = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
GOOD = {
    "title": "Van at the ferry", "kind": "recovery", "site": "", "place": "North steps", "called_at": "2019-07-04 21:40",
    "closed_at": "2019-07-05 02:10", "done": "vehicle_first", "outcome": "Van raised, nobody in it", "injuries": "none",
    "near_miss": "no", "found_by": "both", "diver_minutes": "42", "vehicle_minutes": "65", "visibility": "1.5",
    "visibility_unit": "ft", "own_reference": "2019-117",
}  # fmt: skip


def row(number=0, **changes):
    """A good row of its own, with something else in it."""
    own = {"title": f"Van {number}", "own_reference": f"2019-{number}"} if number else {}
    return GOOD | own | changes


def file_of(*rows, separator=",", names=NAMES):
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator)
    writer.writerows([names, *([one[name] for name in names] for one in rows)])
    return out.getvalue().encode()


def brought(cast, *rows, by=None, at=AT, data=None):
    return bring_import(data=data or file_of(*rows), name="past.csv", by=by or cast.chief, at=at)


def taken(cast, *rows, at=AT):
    waiting = brought(cast, *rows, at=at)
    return confirm_import(waiting=waiting, shown=read_waiting(waiting, at).digest, by=cast.chief, at=at)


def faults(cast, **changes):
    """What is said of one row: field to what is accepted."""
    read = read_waiting(brought(cast, row(**changes)), AT)
    assert len(read.bad) + len(read.new) == 1
    return {fault.field: fault.accepted for left in read.bad for fault in left.faults}
