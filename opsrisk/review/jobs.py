"""Keeps past facts ready, so that nobody waits for them, and makes the reports of months and years that have ended."""

from datetime import timedelta
from uuid import UUID

from django.utils import timezone

from opsrisk.agencies.models import Agency
from opsrisk.jobs import enqueue, job
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.review.actions import drop_unused_facts, work_out_facts
from opsrisk.review.facts import basis_of
from opsrisk.review.import_actions import drop_import
from opsrisk.review.in_force import catch_up
from opsrisk.review.listing import zone_of
from opsrisk.review.models import Report, WaitingImport
from opsrisk.review.report_actions import keep_report
from opsrisk.review.reports import Office, ended, operations_in, report

PREPARE, PREPARE_ALL = "review.prepare", "review.prepare_all"
REPORT, REPORTS = "review.report", "review.reports"
DROP_EXPIRED = "review.drop_expired_imports"
NO_END = 10_000_000


@job(PREPARE)
def prepare(version_id: str) -> int:
    """Works out what is missing on the basis of one version; returns of how many assessments."""
    version = ProtocolVersion.objects.select_related("agency").filter(pk=UUID(version_id)).first()
    return work_out_facts(agency=version.agency, protocol=version.rules(), most=NO_END) if version else 0


@job(PREPARE_ALL, every=timedelta(hours=1))
def prepare_all() -> None:
    """For every agency: its drafts and its version in force. Facts on other bases go."""
    for agency in Agency.objects.all():
        catch_up(agency)
        versions = ProtocolVersion.objects.filter(agency=agency).exclude(state=ProtocolVersion.State.SUPERSEDED)
        drop_unused_facts(agency=agency, keep=frozenset(basis_of(version.rules()) for version in versions))
        for version in versions:
            enqueue(PREPARE, str(version.pk))


@job(REPORTS, every=timedelta(hours=6))
def reports() -> None:
    """Asks for every agency's report of the last month and year, where there is none and somebody was called out."""
    for agency in Agency.objects.all():
        enqueue(REPORT, str(agency.pk))


@job(REPORT)
def make_reports(agency_id: str) -> int:
    """Makes what is missing; returns how many."""
    agency, now, made = Agency.objects.get(pk=UUID(agency_id)), timezone.now(), 0
    for span in ended(now, zone_of(Office(agency))):
        if Report.objects.filter(agency=agency, period=span.period, first_day=span.first).exists():
            continue
        if not operations_in(agency, span):
            continue
        data, operations = report(agency, span, now)
        keep_report(agency=agency, span=span, data=data, operations=operations, at=now)
        made += 1
    return made


@job(DROP_EXPIRED, every=timedelta(hours=1))
def drop_expired_imports() -> int:
    """Deletes files of past operations that nobody confirmed within a day; returns how many."""
    now = timezone.now()
    expired = list(WaitingImport.objects.expired(now).defer("data"))
    for one in expired:
        drop_import(waiting=one, by=None, at=now)
    return len(expired)
