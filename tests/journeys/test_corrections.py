"""A mistake in a signed record is corrected by the next revision with a reason; a void reaches the tablet."""

import pytest
from django.utils import timezone

from opsrisk.operations.models import Assessment
from opsrisk.operations.void_actions import state, void_record
from tests.tablet.answers import answers

pytestmark = pytest.mark.browser
REASON = "The depth was read off the wrong gauge"
CORRECTION = "async () => (await import('/static/tablet/context.js')).app.draft.correction"


def signed(hands, county):
    hands.whole(answers(county))
    hands.page.get_by_text("Nothing waits to be sent").wait_for()


def test_a_correction_takes_a_reason_and_carries_it_to_the_server(hands, county):
    """Too short a reason goes nowhere; the record of the next revision names it, and the first one stays."""
    signed(hands, county)
    page = hands.page
    hands.tap(page.get_by_role("link", name="Correct a mistake"))
    page.locator("#correction").fill("typo")
    hands.next()
    assert "at least 15 characters" in page.locator(".summary").inner_text()
    page.locator("#correction").fill(REASON)
    hands.next()
    page.wait_for_function("() => location.hash.endsWith('/contents')")
    assert page.evaluate(CORRECTION) == {"reason": REASON}
    page.evaluate("location.hash = location.hash.replace('contents', 'check')")
    hands.heading("Check your answers")
    hands.judge("Hold")
    hands.choose("Hold")
    assert REASON in page.locator(".signed-over").inner_text()
    hands.sign()
    hands.finish()
    page.get_by_text("Nothing waits to be sent").wait_for()
    first, second = Assessment.objects.order_by("revision")
    assert (first.correction, second.correction, first.superseded_by) == ("", REASON, second)


def test_a_void_declared_at_the_desk_is_on_the_tablet_and_its_sheet(hands, county):
    """In words with who and why, within the tablet's next asking."""
    signed(hands, county)
    page = hands.page
    stored = Assessment.objects.get()
    void_record(assessment=stored, shown=state(stored), reason=REASON, by=county.chief, at=timezone.now())
    page.evaluate("id => { location.hash = `#/o/${id}`; }", str(stored.operation_id))
    page.locator(".void", has_text="VOID").wait_for()
    assert REASON in page.locator(".void").inner_text()
    assert "Nobody goes in on a void one" in page.locator("#page").inner_text()
    page.evaluate("id => { location.hash = `#/d/${id}/sheet`; }", str(stored.pk))
    page.locator(".paper .word", has_text="VOID").wait_for()
    assert "Teo Brandt" in page.locator(".screen-only .void").inner_text()
