"""Sheets as rows and as files, made once for the tests that only look at them."""

import itertools
from datetime import timedelta

import pytest
from django.conf import settings

from opsrisk.briefing.actions import issue_sheet
from opsrisk.briefing.models import Sheet
from tests.briefing import records
from tests.filed import filed, protocol_of, signed


@pytest.fixture(autouse=True)
def _files(tmp_path, settings):
    settings.FILES = tmp_path / "files"


@pytest.fixture
def assessment(cast):
    protocol = protocol_of(cast.agency, cast.safety, cast.chief)
    made = filed(records.record(), agency=cast.agency, by=cast.supervisor, protocol=protocol, site=cast.site)
    signed(made, cast.supervisor, "decided", made.assessed_at + timedelta(minutes=4))
    signed(made, cast.diver, "briefed", made.assessed_at + timedelta(minutes=7))
    return made


@pytest.fixture
def later(assessment):
    """Times a minute apart, from an hour after the assessment on."""
    return (assessment.assessed_at + timedelta(hours=1, minutes=n) for n in itertools.count())


@pytest.fixture
def issue(assessment, cast, later, django_capture_on_commit_callbacks):
    """Issues the sheet and runs its job."""

    def go(paper="letter", by=cast.supervisor, of=assessment) -> Sheet:
        with django_capture_on_commit_callbacks(execute=True):
            made = issue_sheet(assessment=of, paper=paper, by=by, at=next(later))
        made.refresh_from_db()
        return made

    return go


@pytest.fixture
def sheet_file():
    """The path of a finished sheet."""
    return lambda sheet: settings.FILES / sheet.pdf
