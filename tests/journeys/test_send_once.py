"""A record leaves the tablet once, stays until the server has it, and goes under nobody else's name."""

import json

import pytest

from opsrisk.operations.models import Assessment
from tests.tablet.answers import answers

pytestmark = pytest.mark.browser

RECORDS = "**/api/v1/records/"
ENTRIES = "async () => (await import('/static/tablet/outbox.js')).entries()"
SEND = "async () => (await import('/static/tablet/outbox.js')).send()"


def sign_one(hands, county, word="Hold"):
    hands.begin()
    hands.fill(answers(county))
    hands.judge(word)
    hands.choose(word)
    hands.sign()
    hands.finish()


def settled(hands):
    """Nothing is on its way any more."""
    hands.page.wait_for_function("() => document.getElementById('sent').dataset.state !== 'Sending'")


class Server:
    """Stands between tablet and server and keeps what passed; `answers` are given first, then the real server answers."""

    def __init__(self, page, *answers):
        self.answers, self.seen = list(answers), []
        page.route(RECORDS, self)

    def __call__(self, route):
        self.seen.append((route.request.headers["idempotency-key"], route.request.post_data_buffer))
        answer = self.answers.pop(0) if self.answers else "through"
        if answer == "through":
            return route.continue_()
        if answer == "lost":
            return route.abort()
        if answer == "answer lost":
            route.fetch()
            return route.abort()
        return route.fulfill(**answer)


def test_the_server_receives_and_the_tablet_says_so(hands, county):
    """Signed, sent, countersigned: the receipt's time stands on the tablet, the record in the database, once."""
    sign_one(hands, county)
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
    entry = hands.page.evaluate(ENTRIES)[0]
    assert entry["state"] == "Received"
    stored = Assessment.objects.get()
    assert stored.digest == entry["digest"] == entry["receipt"]["digest"]
    assert stored.record == json.dumps(
        json.loads(entry["bytes"])["record"], ensure_ascii=False, separators=(",", ":"), sort_keys=True
    )
    assert not stored.differs
    assert stored.signatures.get().person == county.supervisor
    hands.page.evaluate("location.hash = '#/'")
    hands.page.get_by_text("(server time)").wait_for()


def test_a_lost_answer_makes_no_second_record(hands, county, console):
    """The server has it, the tablet does not know: the same bytes under the same key are sent again, and stored once."""
    console.expect("net::ERR_FAILED")
    server = Server(hands.page, "answer lost", "lost", "answer lost")
    sign_one(hands, county)
    for _ in range(3):
        settled(hands)
        hands.page.evaluate(SEND)
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
    assert len(server.seen) == 4
    assert len(set(server.seen)) == 1
    assert Assessment.objects.count() == 1


def test_a_refused_record_stays_with_the_reason_and_holds_nobody_up(hands, county, console):
    """The reason is shown in the server's words, the next record is received, and Try again sends the same bytes."""
    console.expect("the server responded with a status of 400")
    refusal = {"errors": [{"field": "record.operation.site", "given": "x", "accepted": "a site of your agency"}]}
    server = Server(hands.page, {"status": 400, "json": refusal})
    sign_one(hands, county)
    hands.page.get_by_role("heading", name="The server refused this record").wait_for()
    assert "record.operation.site: given x; accepted: a site of your agency" in hands.page.locator("main").inner_text()
    hands.page.evaluate("location.hash = '#/'")
    sign_one(hands, county)
    hands.page.get_by_text("On device: 1 not sent").wait_for()
    assert Assessment.objects.count() == 1
    hands.page.evaluate("location.hash = '#/'")
    hands.page.get_by_text("Refused by the server").wait_for()
    hands.tap(hands.page.get_by_role("button", name="Try again"))
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
    assert Assessment.objects.count() == 2
    assert server.seen[0] == server.seen[-1]


def test_a_receipt_for_something_else_is_no_receipt(hands, county):
    """Only the receipt that names this record's digest takes it out of the box."""
    Server(hands.page, {"status": 201, "json": {"digest": "0" * 64, "received_at": "2026-11-25T14:00:00.000+00:00"}})
    sign_one(hands, county)
    hands.page.get_by_text("The server's receipt names another record").wait_for()
    assert hands.page.evaluate(ENTRIES)[0]["state"] == "On device"


@pytest.mark.parametrize("status", [500, 503, 409, 429])
def test_a_server_in_trouble_is_asked_again(hands, county, console, status):
    """No refusal: the record waits, and goes out by itself when the network is said to be back."""
    console.expect("the server responded with a status of")
    Server(hands.page, {"status": status, "json": {}})
    sign_one(hands, county)
    hands.page.get_by_text("On device: 1 not sent").wait_for()
    hands.page.evaluate("dispatchEvent(new Event('online'))")
    hands.page.get_by_text("Nothing waits to be sent").wait_for()


def test_a_session_that_ended_holds_the_record_until_somebody_signs_in(hands, county, signed_in, context):
    """Signed out at the server: nothing is lost, nothing is sent; after signing in again it goes."""
    context.clear_cookies()
    sign_one(hands, county)
    hands.page.evaluate("location.hash = '#/'")
    hands.page.get_by_text("Waiting: sign in to send").wait_for()
    assert Assessment.objects.count() == 0
    signed_in(county.supervisor)
    hands.open()
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
    assert Assessment.objects.count() == 1


def test_nobody_sends_for_somebody_else(hands, county, signed_in, context):
    """A colleague signs in on the same tablet: neither sees nor sends what is not theirs."""
    context.clear_cookies()
    sign_one(hands, county)
    hands.page.get_by_text("On device: 1 not sent").wait_for()
    signed_in(county.deputy)
    hands.open()
    hands.page.get_by_text("1 of another person, locked").wait_for()
    assert "Oskar Lund" in hands.page.locator("main").inner_text()
    assert hands.page.evaluate(ENTRIES) == []
    hands.page.evaluate(SEND)
    assert Assessment.objects.count() == 0
    signed_in(county.supervisor)
    hands.open()
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
    assert Assessment.objects.get().received_by == county.supervisor


def test_a_change_after_signing_is_the_next_revision(hands, county):
    """The signed record stays; the next names its digest, keeps the readings' times, and asks everything else anew."""
    sign_one(hands, county)
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
    first = Assessment.objects.get()
    hands.tap(hands.page.get_by_role("button", name="Change: next revision"))
    hands.heading("All questions")
    hands.next()
    hands.heading("Check your answers")
    hands.tap(hands.page.get_by_role("link", name="Change What can catch a diver?"))
    hands.tap(hands.tile("Severe"))
    hands.next()
    hands.judge("Hold")
    hands.choose("Hold")
    hands.sign()
    hands.finish()
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
    second = Assessment.objects.get(revision=2)
    first.refresh_from_db()
    assert (second.previous, first.superseded_by_id) == (first.digest, second.pk)
    assert json.loads(second.record)["situation"]["readings"] == json.loads(first.record)["situation"]["readings"]


def test_a_signed_record_is_read_only(hands, county):
    """No address leads back into it."""
    sign_one(hands, county)
    for step in ("callout", "check", "choose", "brief"):
        hands.page.evaluate("step => { location.hash = location.hash.replace(/[^/]+$/, step); }", step)
        hands.heading("Briefing sheet")


LINE = """async () => {
  const [logbook, { app }, watching] = await Promise.all(["logbook", "context", "watching"].map((name) => import(`/static/tablet/${name}.js`)));
  const [one] = await logbook.followed();
  const content = { id: crypto.randomUUID(), sha256: "0".repeat(64), caption: "The boat is back", taken_at: new Date().toISOString() };
  await logbook.write({ operation: one.operation, kind: "photo", content, at: content.taken_at, device: watching.device() });
  location.hash = `#/o/${one.operation.id}`;
  watching.hurry();
}"""


def test_a_refused_line_says_why_and_can_be_sent_once_more(hands, county, console):
    """In the server's words, field by field; a token that was renewed is no refusal; nothing is asked again without being told to."""
    console.expect("the server responded with a status of 40")
    page = hands.page
    sign_one(hands, county)
    page.get_by_text("Nothing waits to be sent").wait_for()
    refusal = {"errors": [{"field": "line.content.caption", "given": "The boat", "accepted": "other words"}]}
    answers_, asked = [(403, {"errors": "CSRF: the token is old"}), (400, refusal)], []

    def server(route):
        asked.append(route.request.post_data)
        if not answers_:
            return route.continue_()
        status, said = answers_.pop(0)
        return route.fulfill(status=status, json=said)

    page.route("**/tablet/log.json", server)
    page.evaluate(LINE)
    page.locator("#log").get_by_text("line.content.caption: given The boat; accepted: other words").wait_for()
    page.wait_for_timeout(2500)  # two more rounds
    assert len(asked) == 2
    hands.tap(page.locator("#log").get_by_role("button", name="Try again"))
    page.get_by_text("Nothing waits to be sent").wait_for()
    assert len(set(asked)) == 1 and len(asked) == 3
