"""Makes sheets and archives. May run twice, or die in the middle: a file that no row names is only wasted space."""

import hashlib
import logging
from collections.abc import Iterator

from django.utils import timezone
from weasyprint import Document

from opsrisk import files
from opsrisk.briefing import archive_actions
from opsrisk.briefing.actions import JOB, give_up, keep_pdf
from opsrisk.briefing.content import content, proofs
from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.inquiry.gather import sheet_path
from opsrisk.briefing.models import Archive, Sheet
from opsrisk.briefing.pdf import laid_out, pages_of_front, written
from opsrisk.briefing.seal import sealed
from opsrisk.jobs import job

log = logging.getLogger(__name__)
SQUEEZE_STEP_MM, MOST_SQUEEZE_MM = 12.0, 60.0


class FrontTooLong(RuntimeError):
    """Page one took more than one page although it was squeezed."""


def _waiting() -> Iterator[tuple[str, ...]]:
    for pk in Sheet.objects.waiting().values_list("pk", flat=True):
        yield (str(pk),)


@job(JOB, left_over=_waiting)
def render_sheet(sheet_id: str) -> None:
    """Makes the PDF of one sheet, unless that has been done."""
    sheet = Sheet.objects.waiting().select_related("assessment__operation__agency").filter(pk=sheet_id).first()
    if sheet is None:
        return
    asked_at = sheet.made_at
    try:
        data, stamp = pdf_of(sheet)
    except Exception as fault:  # whatever it was, somebody waits for this sheet and must be told
        log.exception("sheet %s could not be made", sheet.pk)
        why = f"{type(fault).__name__}: {fault}"
        give_up(sheet=sheet, why=why, asked_at=asked_at, at=timezone.now())
        return
    sha256 = hashlib.sha256(data).hexdigest()
    path = sheet_path(sheet, sha256)
    files.keep(path, data)
    keep_pdf(sheet=sheet, path=path, sha256=sha256, stamp=stamp, asked_at=asked_at, at=timezone.now())


def _archives_waiting() -> Iterator[tuple[str, ...]]:
    for pk in Archive.objects.waiting().values_list("pk", flat=True):
        yield (str(pk),)


@job(archive_actions.JOB, left_over=_archives_waiting)
def make_archive(archive_id: str) -> None:
    """Makes the file of one archive, unless that has been done."""
    row = Archive.objects.waiting().select_related("operation__agency").filter(pk=archive_id).first()
    if row is None:
        return
    try:
        data = archive(row.operation)
    except Exception as fault:  # whatever it was, somebody waits for this file and must be told
        log.exception("archive %s could not be made", row.pk)
        archive_actions.give_up_archive(archive=row, why=f"{type(fault).__name__}: {fault}", at=timezone.now())
        return
    sha256 = hashlib.sha256(data).hexdigest()
    path = f"archives/{row.operation.agency_id}/{row.pk}-{sha256[:16]}.zip"
    files.keep(path, data)
    archive_actions.keep_archive(archive=row, path=path, sha256=sha256, at=timezone.now())


def pdf_of(sheet: Sheet) -> tuple[bytes, str]:
    """The finished file of `sheet`, and what a time-stamp authority did."""
    agency = sheet.assessment.operation.agency
    data = written(_one_page_front(sheet), sheet.assessment.record.encode(), proofs(sheet.assessment))
    return sealed(data, agency_id=agency.pk, agency=agency.name, at=timezone.now())


def _one_page_front(sheet: Sheet) -> Document:
    """The pages, with page one on one page.

    The widths of letters that the layout counts on are those of one font; text in other writing may run
    longer, and then page one gives up a few rows more to the back.
    """
    squeeze = 0.0
    while squeeze <= MOST_SQUEEZE_MM:
        document = laid_out(content(sheet, squeeze=squeeze), sheet.paper)
        if pages_of_front(document) == 1:
            return document
        squeeze += SQUEEZE_STEP_MM
    raise FrontTooLong(f"sheet {sheet.pk}: page one does not fit on {sheet.paper}")
