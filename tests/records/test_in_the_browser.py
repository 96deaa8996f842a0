"""The pages of the records on a tablet-size screen: typed as a person would, nothing for axe, nothing too wide."""

from datetime import UTC, datetime, timedelta

import pytest

from tests.desk import at_the_desk, faultless
from tests.operations.sending import adopt_baseline, received
from tests.records.dives import REASON, TOLD, kept
from tests.records.old import asked_for

pytestmark = [
    pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(300), pytest.mark.django_db(transaction=True),
]  # fmt: skip


@pytest.fixture
def operation(cast):
    adopt_baseline(cast)
    return received(cast).operation


@pytest.fixture
def desk(live_server, as_person, page):
    """Signs somebody in."""
    return lambda person: at_the_desk(page, as_person(person), live_server.url)


def test_a_supervisor_records_a_dive_after_the_debrief(desk, cast, operation, picture, console):
    """From the operation's page: what the assessment says is there already, the rest is typed, a slip is named."""
    page = desk(cast.supervisor)
    page.goto(f"/operations/{operation.pk}/")
    page.get_by_role("link", name="Dive records").click()
    page.get_by_role("link", name="Record a dive").click()
    faultless(page)
    picture("form")
    page.get_by_label("Diver, if of this agency").select_option(label="Mara Quill")
    page.get_by_label("Left the surface").fill("2026-06-01T14:10")
    page.get_by_label("Back at the surface").fill("2026-06-01T14:34")
    page.get_by_label("General nature of the work").fill("Line search along the ledge")
    page.get_by_label("Maximum depth, ft").fill("18")
    console.expect("422")
    page.get_by_label("Bottom time, min").fill("40")
    page.get_by_label("Team members").fill("Diver: Mara Quill")
    page.get_by_label("Decompression sickness suspected?").select_option("no")
    page.get_by_label("Injury suspected?").select_option("no")
    page.get_by_role("button", name="Keep the record").click()
    assert page.get_by_text("no more minutes than the diver was under water").first.is_visible()
    faultless(page)
    picture("refused")
    page.get_by_label("Bottom time, min").fill("20")
    page.get_by_role("button", name="Keep the record").click()
    page.get_by_role("heading", name="Dive 1: Mara Quill").wait_for()
    faultless(page)
    picture("list")


def test_a_supervisor_enters_a_training_day(desk, cast, picture):
    """Who took part is ticked in a list of names."""
    page = desk(cast.supervisor)
    page.goto("/records/")
    page.get_by_role("link", name="Training days").click()
    page.get_by_role("link", name="Enter a training day").click()
    faultless(page)
    page.get_by_label("Day").fill("2026-05-30")
    page.get_by_label("What was trained").fill("Lost-diver drill in the basin")
    page.get_by_label("Hours").fill("3.5")
    page.get_by_label("Mara Quill").check()
    page.get_by_label("Oskar Lund").check()
    picture("form")
    page.get_by_role("button", name="Keep the entry").click()
    page.get_by_text("Took part: ").wait_for()
    faultless(page)
    picture("list")


def test_the_chief_sets_how_long_records_are_kept(desk, cast, operation, picture):
    """Published times stand beside the fields; what is past is listed and stays."""
    kept(cast, operation, guest="A. Visitor", at=TOLD["out_at"] + timedelta(hours=1))
    page = desk(cast.chief)
    page.goto("/records/")
    page.get_by_role("link", name="How long records are kept").click()
    faultless(page)
    page.get_by_role("link", name="Set the periods").click()
    faultless(page)
    picture("form")
    page.get_by_label("Files of photos").fill("7")
    page.get_by_label("Dive records in which nothing was suspected").fill("5")
    page.get_by_role("button", name="Set the periods").click()
    page.get_by_text("Periods 1, set by Teo Brandt").wait_for()
    faultless(page)
    picture("set")


def test_two_people_let_old_records_go(desk, cast, operation, picture):
    """The one who asked finds no button; the other sees what goes, and then that it went."""
    purge = asked_for(cast, operation, at=datetime.now(UTC))
    page = desk(cast.chief)
    page.goto("/records/retention/")
    faultless(page)
    picture("past")
    page.get_by_role("link", name="Ask for a purge").click()
    faultless(page)
    page.goto(f"/records/retention/purge/{purge.pk}/")
    faultless(page)
    assert page.get_by_role("button", name="Agree").count() == 0
    page = desk(cast.safety)
    page.goto(f"/records/retention/purge/{purge.pk}/")
    faultless(page)
    picture("asked")
    page.get_by_role("button", name="Agree: delete 3 records").click()
    page.get_by_text("agreed to by Lena Okafor").wait_for()
    faultless(page)
    picture("gone")


def test_the_chief_sees_what_expires(desk, cast, operation, picture):
    """A medical examination is noted by two dates; the people page and the list tell that it has run out."""
    page = desk(cast.chief)
    page.goto(f"/people/{cast.diver.pk}/")
    page.get_by_role("link", name="Note a medical examination").click()
    faultless(page)
    page.get_by_label("Examined on").fill("2025-03-01")
    page.get_by_label("Valid until").fill("2026-03-01")
    page.get_by_role("button", name="Note it").click()
    page.get_by_text("(expired)").wait_for()
    faultless(page)
    picture("person")
    page.goto("/people/")
    faultless(page)
    picture("people")
    page.get_by_role("link", name="Who and what").click()
    faultless(page)
    picture("expiring")


def test_the_chief_reads_logs_and_sums(desk, cast, operation, picture):
    """By name; the way leads from the sums to a person's log and on to the record."""
    kept(cast, operation)
    kept(cast, operation, replaces=1, decompression="yes", incidents="Numb hand at 10 ft", reason=REASON)
    kept(cast, operation, bottom_minutes="not known", max_depth="not known")
    page = desk(cast.chief)
    page.goto("/records/")
    faultless(page)
    picture("sums")
    page.get_by_role("link", name="Mara Quill").click()
    faultless(page)
    picture("log")
    page.get_by_role("link", name="Training at the quarry basin, dive 1").click()
    page.get_by_text("Dive 1, record 1").click()
    faultless(page)
    picture("corrected")
