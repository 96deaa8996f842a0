"""An answer that is brought back brings back what followed from it; what was waited for never comes over another page."""

import pytest

from tests.tablet.answers import answers
from tests.tablet.photo_hands import all_sent

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

DRAFT = "async () => (await import('/static/tablet/context.js')).app.draft"
NAMED = """async () => {
  const draft = (await import('/static/tablet/context.js')).app.draft;
  draft.operation.title = 'Recovery at Quarry basin';
}"""
HEADINGS = """() => {
  window.headings = [];
  new MutationObserver(() => window.headings.push(document.querySelector("h1")?.textContent)).observe(document.getElementById("page"), { childList: true });
}"""
FULL_DISK = """() => {
  const put = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (...given) {
    if (window.fullDisk) throw new DOMException("no room", "QuotaExceededError");
    return put.apply(this, given);
  };
}"""


def to_step(hands, step, heading):
    hands.page.evaluate("step => { location.hash = location.hash.replace(/^(#.d.[^/]+).*/, `$1/${step}`); }", step)
    hands.heading(heading)


def test_the_place_of_the_operation_goes_with_the_answer(hands, county):
    """Changed and brought back: site, place, and no title of the place before; the words of the spot leave the water alone."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    page.evaluate(NAMED)
    to_step(hands, "place/check", "Where is it?")
    hands.tap(hands.tile("Salt"))
    page.locator("textarea").press_sequentially("by the ladder")
    page.locator("textarea").blur()
    assert page.locator("#q-site-water input:checked").get_attribute("value") == "salt"
    hands.tap(hands.tile("Somewhere else"))
    hands.next()
    hands.heading("Check your answers")
    changed = page.evaluate(DRAFT)["operation"]
    assert (changed["site"], changed["place"], changed["title"]) == (None, "by the ladder", "")

    page.evaluate(NAMED)
    hands.tap(page.get_by_role("button", name="Undo Where is it?"))
    page.locator("#brought-back").wait_for()
    back = page.evaluate(DRAFT)["operation"]
    assert (back["site"], back["place"], back["title"]) == (str(county.site.pk), "Quarry basin", "")
    assert page.evaluate("document.activeElement.textContent") == "Change Where is it?"
    page.locator("#told", has_text="As it was before: Where is it?").wait_for(state="attached")


def test_an_undo_that_closes_the_question_leads_to_what_was_undone(hands, county):
    """The time under water is asked for a recovery only: with the task brought back, its question is on the screen."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county, task__kind="inspection"))
    to_step(hands, "callout", "What are you called out for?")
    hands.tap(hands.tile("Recovery"))
    hands.next()
    hands.heading("Where is it?")
    to_step(hands, "submerged", "How long ago did the person go under?")
    hands.tap(page.get_by_role("button", name="Undo What are you called out for?"))
    hands.heading("What are you called out for?")
    assert page.locator("input:checked").get_attribute("value") == "inspection"


def test_what_fails_after_the_second_tap_says_so_and_can_be_tried_again(hands, county):
    """The briefing cannot be kept on a full device: the reason stands on the page, and with room it begins."""
    page = hands.page
    hands.whole(answers(county))
    all_sent(hands)
    page.evaluate(FULL_DISK)
    operation = page.evaluate(DRAFT)["operation"]["id"]
    page.evaluate("id => { location.hash = `#/b/${id}`; }", operation)
    page.evaluate("window.fullDisk = true")
    hands.tap(page.locator("#begin"))
    hands.confirm("begin-confirm")
    page.locator(".summary", has_text="This device is full").wait_for()
    assert page.locator("#begin-confirm").count() == 0
    page.evaluate("window.fullDisk = false")
    hands.tap(page.locator("#begin"))
    assert page.get_by_role("group", name="Confirm").count() == 1
    hands.confirm("begin-confirm")
    page.get_by_role("heading", name="Everybody on the sheet").wait_for()


def test_what_was_waited_for_never_takes_the_place_of_another_page(hands, county, console):
    """Sending from the lock's page takes a while; whoever went on to the start meanwhile stays there."""
    console.expect("net::ERR_FAILED")
    page = hands.page
    page.route("**/api/v1/records/", lambda route: route.abort())
    hands.whole(answers(county))
    page.get_by_text("On device: 1 not sent").wait_for()
    page.evaluate("location.hash = '#/lock'")
    hands.heading("Lock this tablet")
    page.unroute_all()
    held = []
    page.route("**/tablet/session.json", lambda route: held.append(route))  # noqa: PLW0108 - the handler is marked, which a method refuses
    with page.expect_request("**/tablet/session.json"):
        hands.tap(page.get_by_role("button", name="Send first"))
    page.evaluate("location.hash = '#/'")
    page.get_by_role("button", name="New assessment").wait_for()
    page.evaluate(HEADINGS)
    for route in held:
        route.continue_()
    page.unroute_all()
    all_sent(hands)
    page.wait_for_timeout(300)
    assert "Lock this tablet" not in page.evaluate("window.headings")
