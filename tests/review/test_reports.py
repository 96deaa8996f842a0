"""Reports of months and years: made by themselves once, sealed, saying what the chief's page says, and of whom they say nothing."""

import io
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from pypdf import PdfReader

from opsrisk import jobs
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Assessment
from opsrisk.review.models import Report
from opsrisk.review.reports import Span, ended, told
from tests.review.conftest import FIRST

MARCH = Span(Report.Period.MONTH, date(2026, 3, 1), date(2026, 3, 31))
YEAR = Span(Report.Period.YEAR, date(2026, 1, 1), date(2026, 12, 31))


def text_of(report):
    return " ".join(
        " ".join(page.extract_text() for page in PdfReader(io.BytesIO(report.path.read_bytes())).pages).split()
    )


@pytest.fixture
def in_april(county, monkeypatch):
    """The first of April in the agency's zone, a minute past midnight."""
    monkeypatch.setattr("opsrisk.review.jobs.timezone.now", lambda: datetime(2026, 4, 1, 12, 1, tzinfo=UTC))
    return county


@pytest.mark.parametrize(
    ("now", "zone", "month"),
    [
        ("2026-04-01T03:00:00+00:00", "Etc/GMT+4", (date(2026, 2, 1), date(2026, 2, 28))),  # still March there
        ("2026-04-01T04:00:00+00:00", "Etc/GMT+4", (date(2026, 3, 1), date(2026, 3, 31))),
        ("2026-01-01T00:30:00+00:00", "UTC", (date(2025, 12, 1), date(2025, 12, 31))),
        ("2024-03-01T00:30:00+00:00", "UTC", (date(2024, 2, 1), date(2024, 2, 29))),
    ],
)
def test_a_month_ends_where_the_agency_is(now, zone, month):
    """By its own clock, leap years and new years included."""
    found = next(ended(datetime.fromisoformat(now), ZoneInfo(zone)))
    assert (found.first, found.last) == month


def test_the_jobs_make_each_report_once(in_april):
    """Asked for twice it is there once; an agency that was called out by nobody gets none; the log has an entry."""
    for _ in range(2):
        jobs.run("review.reports")
        for agency in (in_april.agency, in_april.neighbour):
            jobs.run("review.report", str(agency.pk))
    made = Report.objects.get(agency=in_april.agency)
    assert (made.period, made.first_day, made.last_day) == ("month", MARCH.first, MARCH.last)
    assert Entry.objects.filter(verb="make_report").count() == Report.objects.count() == 2


def test_nothing_is_laid_out_for_a_period_without_operations(in_april, monkeypatch):
    """The job comes every six hours: it counts before it makes and seals a report that nobody would keep."""
    asked = []
    monkeypatch.setattr("opsrisk.review.jobs.report", lambda _, span, __: asked.append(span) or (b"made", 1))
    jobs.run("review.report", str(in_april.agency.pk))
    assert asked == [MARCH]  # the year before had none


def test_it_says_what_the_chiefs_page_says_of_that_month(in_april, as_person):
    """The same counts, every operation of the month by name, none of another month, with the cautions."""
    jobs.run("review.report", str(in_april.agency.pk))
    text = text_of(Report.objects.get(agency=in_april.agency))
    page = as_person(in_april.chief).get("/review/?since=2026-03-01&until=2026-03-31").content.decode()
    assessed = (
        Assessment.objects.for_person(in_april.chief).current().filter(assessed_at__year=2026, assessed_at__month=3)
    )
    assert f"{assessed.count()} with an assessment in force" in text
    assert f"{assessed.count()} with an assessment in force" in page
    for title in assessed.values_list("operation__title", flat=True):
        assert title in text
    assert "Culvert" not in text and "Neighbour" not in text
    assert "Decision aid only" in text
    assert "Mara Quill" not in text  # nobody is named, so nobody is ranked


def test_a_year_adds_up_to_its_months(county):
    """Every assessment is in one month, and the months are the year's."""
    said = told(county.agency, YEAR, FIRST)
    assert sum(group.number for group in said["months"]) == said["summary"].assessed == 12
    assert sum(number for *_, number in said["summary"].by_decision) == 12
    assert len(said["listed"]) + said["left_out"] == 12


def test_the_file_is_sealed_and_handed_out_only_unchanged(in_april, as_person, tmp_path):
    """A signature over the whole file; a changed byte, and the page says so instead."""
    jobs.run("review.report", str(in_april.agency.pk))
    row = Report.objects.get(agency=in_april.agency)
    client = as_person(in_april.chief)
    assert "Month from 2026-03-01 as PDF" in client.get("/review/reports/").content.decode()
    answer = client.get(f"/review/reports/{row.pk}.pdf")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert b"/ETSI.CAdES.detached" in answer.content
    row.path.write_bytes(answer.content[:-1] + b"x")
    changed = client.get(f"/review/reports/{row.pk}.pdf")
    assert changed.status_code == 500 and "is not the report that was made" in changed.content.decode()


def test_older_reports_are_on_further_pages(county, as_person, monkeypatch):
    """Newest first, with links both ways."""
    monkeypatch.setattr("opsrisk.review.report_views.ON_A_PAGE", 1)
    for month in (1, 2, 3):
        Report.objects.create(
            agency=county.agency, period="month", first_day=date(2026, month, 1), last_day=date(2026, month, 28),
            operations=1, file="x", sha256="0" * 64, made_at=FIRST,
        )  # fmt: skip
    pages = [as_person(county.chief).get(f"/review/reports/?page={number}").content.decode() for number in (1, 2, 3)]
    assert ["from 2026-03-01" in pages[0], "from 2026-02-01" in pages[1], "from 2026-01-01" in pages[2]] == [True] * 3
    assert [(">Newer<" in page, ">Older<" in page) for page in pages] == [(False, True), (True, True), (True, False)]
    assert 'href="?page=3"' in pages[1] and 'href="?page=1"' in pages[1]
