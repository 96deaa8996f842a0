"""Past operations come in by a file: brought, looked at, confirmed as a whole or dropped. Each is in the log."""

import hashlib
from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from uuid import UUID

from django.db import transaction

from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Agency, Person, Site
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import Refused
from opsrisk.operations.models import Import, Imported, Operation
from opsrisk.review.import_columns import About
from opsrisk.review.import_rows import Here, LeftOut, Past, digest_of, new_ones, read_rows
from opsrisk.review.import_table import Table, read_table
from opsrisk.review.listing import zone_of
from opsrisk.review.models import WaitingImport

MOST_WAITING = 10  # of one person
AT_ONCE = 500


class HasChanged(Refused):
    """What the page showed is not what would come in: somebody was there in between."""


@dataclass(frozen=True)
class Reading:
    """A file read against what the agency has at this moment."""

    table: Table
    new: list[Past]
    bad: list[LeftOut]
    repeated: list[LeftOut]

    @cached_property
    def digest(self) -> str:
        return digest_of(self.new)

    @property
    def left_out(self) -> list[LeftOut]:
        return sorted((*self.bad, *self.repeated), key=lambda row: row.line.number)


def read_waiting(waiting: WaitingImport, now: datetime) -> Reading:
    """The rows of a file that waits."""
    table = read_table(bytes(waiting.data))
    sites: dict[str, list[UUID]] = defaultdict(list)
    for pk, name in Site.objects.filter(agency=waiting.agency_id).values_list("pk", "name"):
        sites[name.lower()].append(pk)
    about = About(zone_of(waiting), sites, now)
    good, bad = read_rows(table.lines, about)
    new, repeated = new_ones(good, _here(waiting.agency_id, [past for _, past in good]))
    return Reading(table, new, bad, repeated)


@transaction.atomic
def bring_import(*, data: bytes, name: str, by: Person, at: datetime) -> WaitingImport:
    """Keeps a file for its confirmation; nothing of it is in. Raises Refused for what is no such file."""
    agency_id = _may(by, by.agency_id)
    read_table(data)
    waiting = WaitingImport.objects.of_person(by, at).count()
    if waiting >= MOST_WAITING:
        raise Refused(("file", f"{waiting} files that wait", f"fewer than {MOST_WAITING}: confirm or drop one"))
    sha256 = hashlib.sha256(data).hexdigest()
    row = WaitingImport.objects.create(agency_id=agency_id, by=by, at=at, name=_shown(name), sha256=sha256, data=data)
    detail = {"file": row.name, "sha256": sha256, "bytes": len(data)}
    enter(by=by, at=at, agency_id=agency_id, verb="bring_import", subject=row, detail=detail)
    return row


@transaction.atomic
def confirm_import(*, waiting: WaitingImport, shown: str, by: Person, at: datetime) -> Import:
    """Takes in every good row, or none. `shown` is the digest of the rows that the confirmed page showed."""
    _may(by, waiting.agency_id)
    if waiting.by_id != by.pk:
        raise NotAllowed("a file that somebody else brought is not yours to confirm")
    Agency.objects.select_for_update(no_key=True).get(pk=waiting.agency_id)  # two imports at once come one by one
    if not WaitingImport.objects.of_person(by, at).filter(pk=waiting.pk).exists():
        raise HasChanged(("file", waiting.name, "a file that still waits"))
    found = read_waiting(waiting, at)
    if found.digest != shown:
        raise HasChanged(("rows", waiting.name, "the rows as they are now: look at them again, then confirm"))
    if not found.new:
        raise Refused(("rows", "none", "at least one good row"))
    made = Import.objects.create(
        agency_id=waiting.agency_id, by=by, at=at, name=waiting.name, sha256=waiting.sha256, number=len(found.new),
        bad=len(found.bad), repeated=len(found.repeated),
    )  # fmt: skip
    _take_in(made, found.new)
    waiting.delete()
    detail = {
        "file": made.name, "sha256": made.sha256, "operations": made.number, "bad": made.bad,
        "repeated": made.repeated, "rows_sha256": found.digest,
    }  # fmt: skip
    enter(by=by, at=at, agency_id=made.agency_id, verb="confirm_import", subject=made, detail=detail)
    return made


@transaction.atomic
def drop_import(*, waiting: WaitingImport, by: Person | None, at: datetime) -> None:
    """Deletes a file that waits: by who brought it, or, by nobody, because it expired."""
    if by is not None:
        _may(by, waiting.agency_id)
        if waiting.by_id != by.pk:
            raise NotAllowed("a file that somebody else brought is not yours to drop")
    elif at < waiting.until:
        raise Refused(("at", at.isoformat(), f"a time from {waiting.until.isoformat()} on, when the file expires"))
    detail = {"file": waiting.name, "sha256": waiting.sha256}
    agency_id = waiting.agency_id
    enter(by=by, at=at, agency_id=agency_id, verb="drop_import", subject=waiting, detail=detail)
    waiting.delete()


def _may(by: Person, agency_id: UUID | None) -> UUID:
    if agency_id is None or by.agency_id != agency_id:
        raise NotAllowed("another agency's operations are not yours to import")
    require(by, "import_operations")
    return agency_id


def _shown(name: str) -> str:
    """A file's name as it can be shown: without folders and what cannot be seen."""
    last = name.replace("\\", "/").rpartition("/")[2]
    return "".join(letter for letter in last if letter.isprintable())[:200] or "without a name"


def _here(agency_id: UUID, past: list[Past]) -> Here:
    references = Imported.objects.filter(agency=agency_id).exclude(reference="")
    named = {one.own_reference for one in past if one.own_reference}
    titles = dict(references.values_list("reference", "operation__title"))
    times = [one.called_at for one in past]
    there = Operation.objects.filter(agency=agency_id)
    if times:
        there = there.filter(called_at__gte=min(times), called_at__lte=max(times))
    known = frozenset((title.lower(), at) for title, at in there.values_list("title", "called_at"))
    return Here({name: titles[name] for name in named & titles.keys()}, known)


def _take_in(made: Import, rows: list[Past]) -> None:
    for start in range(0, len(rows), AT_ONCE):
        batch = rows[start : start + AT_ONCE]
        operations = Operation.objects.bulk_create(
            Operation(
                agency_id=made.agency_id, title=one.title, site_id=one.site, place=one.place, kind=one.kind,
                called_at=one.called_at, closed_at=one.closed_at, outcome=one.outcome,
            )
            for one in batch
        )  # fmt: skip
        Imported.objects.bulk_create(
            Imported(
                operation=operation, agency_id=made.agency_id, of=made, line=one.line, reference=one.own_reference,
                done=one.done, injuries=one.injuries, near_miss=one.near_miss, found_by=one.found_by,
                diver_minutes=one.diver_minutes, vehicle_minutes=one.vehicle_minutes, visibility_m=one.visibility_m,
                visibility=f"{one.visibility} {one.visibility_unit}" if one.visibility else "",
            )
            for operation, one in zip(operations, batch, strict=True)
        )  # fmt: skip
