"""Keeps a report once it is made: one for each period, never replaced, in the log."""

import hashlib
from datetime import datetime

from django.db import transaction

from opsrisk import files
from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Agency
from opsrisk.review.models import Report
from opsrisk.review.reports import Span


@transaction.atomic
def keep_report(*, agency: Agency, span: Span, data: bytes, operations: int, at: datetime) -> Report:
    """The row of `data`. Another run's report of the same period stands; this file is then only wasted space."""
    sha256 = hashlib.sha256(data).hexdigest()
    path = f"reports/{agency.pk}/{span.period}-{span.first:%Y-%m-%d}-{sha256[:16]}.pdf"
    files.keep(path, data)
    row, new = Report.objects.get_or_create(
        agency=agency, period=span.period, first_day=span.first,
        defaults={"last_day": span.last, "operations": operations, "file": path, "sha256": sha256, "made_at": at},
    )  # fmt: skip
    if new:
        detail = {"period": span.period, "first_day": f"{span.first}", "operations": operations, "sha256": sha256}
        enter(by=None, at=at, agency_id=agency.pk, verb="make_report", subject=row, detail=detail)
    return row
