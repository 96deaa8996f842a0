"""An operation is opened by whatever of it arrives first: a record or a line of its log."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from opsrisk.agencies.models import Person, Site
from opsrisk.agencies.refusals import Refused
from opsrisk.operations.models import Imported, Operation


@dataclass(frozen=True)
class Named:
    """An operation as a tablet names it."""

    id: UUID
    title: str
    site: UUID | None
    place: str


def open_operation(named: Named, *, kind: str, called_at: datetime, by: Person, at: datetime, field: str) -> Operation:
    """The operation, locked: its row is the lock of everything that arrives for it. Raises Refused.

    `called_at` is by a tablet's clock, which may be years ahead: nobody was called after `at`, when it arrived, and
    an operation that was called in the future could not be closed.
    """
    if named.site and not Site.objects.for_person(by).filter(pk=named.site).exists():
        raise Refused((f"{field}.site", named.site, "a site of your agency, or null"))
    if Imported.objects.for_person(by).filter(operation=named.id).exists():
        raise Refused((f"{field}.id", named.id, "an operation that was not imported: those have no assessment"))
    fields = {
        "agency_id": by.agency_id,
        "title": named.title,
        "site_id": named.site,
        "place": named.place,
        "kind": kind,
        "called_at": min(called_at, at),
    }
    Operation.objects.get_or_create(pk=named.id, defaults=fields)
    operation = Operation.objects.select_for_update().get(pk=named.id)
    if operation.agency_id != by.agency_id:
        raise Refused((f"{field}.id", named.id, "an id made for this operation"))
    return operation
