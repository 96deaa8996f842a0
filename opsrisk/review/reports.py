"""The report of a month or a year: what the chief's page shows of it, on paper, with what was missing."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.template.loader import render_to_string
from weasyprint import HTML

from opsrisk.agencies.models import Agency
from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.briefing.pdf import with_empty_field
from opsrisk.briefing.seal import sealed
from opsrisk.operations.models import Decision
from opsrisk.review.debriefs import debriefs
from opsrisk.review.imported import imported
from opsrisk.review.listing import MARKED, assessments, in_order, shown, without_assessment, zone_of, zone_words
from opsrisk.review.models import Report
from opsrisk.review.rules import RULES, findings
from opsrisk.review.trends import by_period, by_version, summary

STATIC = Path(settings.BASE_DIR) / "opsrisk" / "static"
LISTED = 400  # operations that are named; a year of a large agency says how many are not
MOST_RULES = 20
WORDS: dict[str, str] = dict(Decision.choices)


@dataclass(frozen=True)
class Span:
    """Whole days, both ends included, in the agency's time zone."""

    period: Report.Period
    first: date
    last: date


@dataclass(frozen=True)
class Office:
    """Stands where a person of the agency would: a report is made for all who may read it."""

    agency: Agency

    @property
    def agency_id(self) -> Any:
        return self.agency.pk


def ended(now: datetime, zone: ZoneInfo) -> Iterator[Span]:
    """The month and the year that ended last before `now`."""
    today = now.astimezone(zone).date()
    last = today.replace(day=1) - timedelta(days=1)
    yield Span(Report.Period.MONTH, last.replace(day=1), last)
    yield Span(Report.Period.YEAR, date(today.year - 1, 1, 1), date(today.year - 1, 12, 31))


def operations_in(agency: Agency, span: Span) -> int:
    """Of how many operations the report would be: counted before one is laid out and sealed."""
    office, asked = Office(agency), {"since": span.first, "until": span.last}
    return assessments(office, asked).count() + without_assessment(office, asked)


def report(agency: Agency, span: Span, at: datetime) -> tuple[bytes, int]:
    """The sealed PDF, and of how many operations it is."""
    said = told(agency, span, at)
    page = HTML(string=render_to_string("review/report.html", said), base_url=f"{STATIC}/")
    data = with_empty_field(page.write_pdf(pdf_tags=True, pdf_variant="pdf/a-3a"))
    return sealed(data, agency_id=agency.pk, agency=agency.name, at=at)[0], said["summary"].operations


def told(agency: Agency, span: Span, at: datetime) -> dict[str, Any]:
    """Everything that the report says."""
    office, asked = Office(agency), {"since": span.first, "until": span.last}
    rows, zone = assessments(office, asked), zone_of(office)
    counted = summary(rows, without_assessment(office, asked), WORDS, MARKED)
    fired = [row for row in findings(rows, agency=None) if row.what in RULES]
    listed = shown(in_order(rows, "assessed_at")[:LISTED])
    return {
        "agency": agency, "span": span, "at": at, "cautions": CAUTIONS,
        "zone": zone.key, "zone_words": zone_words(zone),
        "summary": counted, "versions": by_version(rows),
        "months": by_period(rows) if span.period == Report.Period.YEAR else (),
        "debriefs": debriefs(rows, agency.units), "imported": imported(office, asked, agency.units),
        "fired": fired[:MOST_RULES], "fired_left_out": max(0, len(fired) - MOST_RULES),
        "listed": listed, "left_out": max(0, counted.assessed - LISTED),
    }  # fmt: skip
