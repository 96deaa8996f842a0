"""Figures over imported operations: counted apart, since nobody assessed them here and nothing in them has a score."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from opsrisk.operations.models import Decision, Imported
from opsrisk.review.debriefs import ASKED, Exposure, Table, exposures, grouped, table_of
from opsrisk.review.listing import Reader, Span, zone_of

TOLD = (("What was done", "done", Decision), *(one for one in ASKED if one[1] != "looking_back"))


@dataclass(frozen=True)
class ImportedFigures:
    number: int
    tables: tuple[Table, ...]
    exposure: tuple[Exposure, ...]
    spared: int  # the vehicle found the target and nobody dived
    spared_minutes: int


def imported(person: Reader, asked: Mapping[str, Any], units: str) -> ImportedFigures:
    """Over those called in the days, of the kind and at the site asked for: part of those without an assessment."""
    span = Span.of(asked.get("since"), asked.get("until"), zone_of(person))
    rows = Imported.objects.for_person(person).filter(span.within("operation__called_at"))
    rows = rows.filter(operation__assessments__isnull=True)
    for name in ("kind", "site"):
        if asked.get(name):
            rows = rows.filter(**{f"operation__{name}": asked[name]})
    groups = list(grouped(rows, [field for _, field, _ in TOLD]))
    return ImportedFigures(
        number=sum(group["number"] for group in groups),
        tables=tuple(table_of(groups, title, field, choices) for title, field, choices in TOLD),
        exposure=tuple(exposures(groups, units)),
        spared=sum(group["spared"] for group in groups),
        spared_minutes=sum(group["spared_minutes"] or 0 for group in groups),
    )
