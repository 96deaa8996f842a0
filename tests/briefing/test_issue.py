"""A sheet is issued once, made by a job that may run twice, and withdrawn for a reason."""

from datetime import timedelta

import pytest

from opsrisk import jobs
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.briefing import actions
from opsrisk.briefing.jobs import render_sheet
from opsrisk.briefing.models import Sheet
from opsrisk.ledger.models import Entry
from tests.filed import signed

REASON = "The diver was named wrongly"


def verbs():
    return list(Entry.objects.filter(subject_type="briefing.sheet").order_by("index").values_list("verb", flat=True))


def test_issuing_makes_the_file_and_two_entries(issue, sheet_file, cast):
    """Issue and seal are both in the ledger; the file is where the row says."""
    sheet = issue()
    assert sheet_file(sheet).read_bytes().startswith(b"%PDF-")
    assert verbs() == ["issue_sheet", "seal_sheet"]
    assert Entry.objects.get(verb="issue_sheet").actor == str(cast.supervisor.pk)


def test_issuing_twice_is_issuing_once(issue, sheet_file):
    """The same sheet asked for again is the same row and the same file."""
    first = issue()
    assert issue().pk == first.pk
    assert Sheet.objects.count() == 1
    assert verbs() == ["issue_sheet", "seal_sheet"]


def test_a_signature_that_came_later_makes_the_sheet_anew(issue, assessment, cast):
    """Who signed after the sheet was made stands on the sheet that is asked for next."""
    first = issue()
    signed(assessment, cast.deputy, "reviewed", first.made_at + timedelta(seconds=20))
    second = issue()
    assert second.pk == first.pk
    assert second.sha256 != first.sha256


def test_each_paper_has_its_sheet(issue):
    """A4 and Letter are two sheets with the same code."""
    a4, letter = issue("a4"), issue("letter")
    assert a4.pk != letter.pk
    assert a4.code == letter.code


def test_an_unknown_paper_is_refused_by_name(issue):
    """The message names the field, what was given and what is accepted."""
    with pytest.raises(Refused, match="paper: given 'a5', accepted a4, letter"):
        issue("a5")


def test_others_do_not_issue(issue, cast):
    """A team member may not, nor anybody of another agency."""
    for person in (cast.diver, cast.neighbour_supervisor, cast.installer):
        with pytest.raises(NotAllowed):
            issue(by=person)
    assert not Sheet.objects.exists()


def test_the_job_does_no_harm_when_run_twice(issue):
    """A job that runs again changes nothing, and neither does one for a sheet that is gone."""
    sheet = issue()
    render_sheet(str(sheet.pk))
    render_sheet("00000000-0000-0000-0000-000000000000")
    again = Sheet.objects.get()
    assert (again.sha256, again.pdf) == (sheet.sha256, sheet.pdf)
    assert verbs() == ["issue_sheet", "seal_sheet"]


def test_a_sheet_whose_worker_died_is_made_by_the_sweep(assessment, cast, clock):
    """A row left queued is found again and finished."""
    sheet = actions.issue_sheet(assessment=assessment, paper="a4", by=cast.supervisor, at=next(clock))
    assert sheet.state == Sheet.State.QUEUED  # the test's transaction never commits, so no job was asked for
    assert jobs.sweep() >= 1
    sheet.refresh_from_db()
    assert sheet.state == Sheet.State.READY


def test_a_late_job_does_not_replace_a_newer_file(issue, clock):
    """A job that was asked for before the sheet was asked for again keeps its file to itself."""
    sheet = issue()
    Sheet.objects.filter(pk=sheet.pk).update(state="queued", made_at=next(clock))
    kept = actions.keep_pdf(sheet=sheet, path="x", sha256="0" * 64, asked_at=sheet.made_at, at=next(clock))
    assert not kept
    assert Sheet.objects.get().sha256 == sheet.sha256


def test_a_fault_in_the_making_is_told(issue, monkeypatch):
    """A sheet that cannot be made says so, once, and is not tried for ever; asking again tries again."""
    with monkeypatch.context() as broken:
        broken.setattr("opsrisk.briefing.jobs.written", lambda *_: 1 / 0)
        sheet = issue()
    assert sheet.state == Sheet.State.FAILED
    assert verbs() == ["issue_sheet", "give_up_sheet"]
    assert not Sheet.objects.waiting().exists()
    assert issue().state == Sheet.State.READY


def test_a_late_fault_undoes_nothing(issue, clock):
    """A second run that fails leaves the sheet that the first one made; one asked for before leaves the newer wish."""
    sheet = issue()
    assert not actions.give_up(sheet=sheet, why="late", asked_at=sheet.made_at, at=next(clock))
    Sheet.objects.filter(pk=sheet.pk).update(state="queued", made_at=next(clock))
    assert not actions.give_up(sheet=sheet, why="late", asked_at=sheet.made_at, at=next(clock))
    assert Sheet.objects.get().state == Sheet.State.QUEUED
    assert "give_up_sheet" not in verbs()


def test_withdrawing_needs_a_reason_and_is_for_good(issue, cast, clock):
    """Fifteen characters at least; a withdrawn sheet is neither issued nor withdrawn again."""
    sheet = issue()
    with pytest.raises(Refused, match="reason"):
        actions.withdraw(sheet=sheet, reason="no", by=cast.chief, at=next(clock))
    actions.withdraw(sheet=sheet, reason=REASON, by=cast.chief, at=next(clock))
    with pytest.raises(actions.AlreadyWithdrawn):
        actions.withdraw(sheet=sheet, reason=REASON, by=cast.chief, at=next(clock))
    with pytest.raises(actions.AlreadyWithdrawn):
        issue()
    assert verbs()[-1] == "withdraw_sheet"


def test_others_do_not_withdraw(issue, cast, clock):
    """A team member may not, nor anybody of another agency."""
    sheet = issue()
    for person in (cast.diver, cast.neighbour_chief):
        with pytest.raises(NotAllowed):
            actions.withdraw(sheet=sheet, reason=REASON, by=person, at=next(clock))
    assert Sheet.objects.get().withdrawn_at is None
