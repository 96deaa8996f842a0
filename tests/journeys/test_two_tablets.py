"""Two tablets on one operation: a worse reading on one recalls the divers on both, and both know who heard it."""

import json
from datetime import UTC, datetime
from time import perf_counter

import pytest
from django.test import Client

from opsrisk.assessment.record import digest
from opsrisk.operations.models import LogEntry
from tests.browser import TABLET
from tests.operations.sending import ASSESSED, CALM, body, record, send, sign
from tests.tablet.hands import ENGINE_MS, Hands

pytestmark = pytest.mark.browser
SIGNED_IN = "allauth.account.auth_backends.AuthenticationBackend"


# Both tablets may raise it before they hear of each other: it is heard once.
RAISED_TWICE = """async () => {
  const logbook = await import("/static/tablet/logbook.js");
  const watching = await import("/static/tablet/watching.js");
  const [{ operation }] = await logbook.followed();
  const { line } = (await logbook.lines(operation.id)).find((row) => row.line.kind === "recall");
  await logbook.write({ operation, kind: "recall", content: line.content, at: line.at, device: watching.device() });
  return watching.unheard(await logbook.watched(operation.id), await logbook.lines(operation.id)).length;
}"""


def signed_now(county):
    """A calm training, decided by the chief at this moment, already at the server."""
    now = datetime.now(UTC).replace(microsecond=0)
    of = json.loads(json.dumps(CALM).replace(ASSESSED.isoformat(), now.isoformat()))
    made = record(county, of)
    send(county, body(made, sign(made, county.chief, at=now)), by=county.chief, at=now)
    return made


@pytest.fixture
def second(browser, county, live_server, settings, console):
    """The deputy's tablet."""
    context = browser.new_context(base_url=live_server.url, viewport=TABLET, has_touch=True, reduced_motion="reduce")
    console.listen(context)
    client = Client()
    client.force_login(county.deputy, backend=SIGNED_IN)
    name = settings.SESSION_COOKIE_NAME
    context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": live_server.url}])
    page = context.new_page()
    page.add_init_script("delete Navigator.prototype.serviceWorker")
    hands = Hands(page)
    hands.open()
    yield hands
    context.close()


def follow(hands):
    hands.tap(hands.page.get_by_role("link", name="Operations under way"))
    hands.tap(hands.page.get_by_role("button", name="Follow"))
    hands.heading("Conditions")
    hands.page.get_by_role("heading", name="Signatures").wait_for(timeout=ENGINE_MS)


def test_a_worse_reading_recalls_the_divers_on_both_tablets(county, hands, second, console):
    """Written, worked out, logged, sounded and shown on both; heard on each, with the seconds that took."""
    signed_now(county)
    for one in (hands, second):
        follow(one)
    page = hands.page
    hands.tap(page.locator('main a[href$="/readings.current"]').first)
    page.locator(".keypad").wait_for()
    hands.keys("4")
    began = perf_counter()
    hands.tap(page.locator("#next"))
    hands.confirm("record-confirm")
    for one in (hands, second):
        one.page.locator("#recall").wait_for(timeout=ENGINE_MS)
        assert "Recall" in one.page.locator("#recall h2").inner_text()
    print(f"from the tap to the recall on the other tablet: {perf_counter() - began:.1f} s")
    assert second.page.evaluate("async () => (await import('/static/tablet/sound.js')).sound.on")
    for one in (hands, second):
        one.tap(one.page.locator("#recall-hear"))
        one.confirm("recall-heard")
        one.page.locator("#recall").wait_for(state="detached")
    for one in (hands, second):
        one.page.locator("#log li", has_text="Recall heard").nth(1).wait_for()
    kinds = sorted(LogEntry.objects.values_list("kind", flat=True))
    assert kinds.count("acknowledged") == 2
    assert set(kinds) == {"acknowledged", "reading", "recall"}
    assert second.page.evaluate(RAISED_TWICE) == 0


APART = """async () => {
  const keeper = await import("/static/tablet/keeper.js");
  return (await keeper.drafts())[0];
}"""


def test_two_revisions_signed_apart_are_put_together(county, hands):
    """Both values side by side with their people; the chosen one and what only one changed go into one draft."""
    first = signed_now(county)
    apart = []
    for number, (value, hazard) in enumerate((("0.3", "none"), ("0.6", "low")), 2):
        of = json.loads(json.dumps(first["situation"]))
        of["readings"]["current"]["value"], of["hazards"]["contamination"] = value, hazard
        changes = {"revision": 2, "previous": digest(first)}
        made = record(county, of, number=number, **changes)
        at = datetime.fromisoformat(of["assessed_at"])
        send(county, body(made, sign(made, county.chief, at=at)), by=county.chief, at=at, key=f"k{number}")
        apart.append(digest(made))
    follow(hands)
    page = hands.page
    hands.tap(page.get_by_role("link", name="Put them together"))
    hands.heading("Put two revisions together")
    page.get_by_text("Nobody knows yet: 0.6 kn").wait_for()
    hands.tap(page.locator("label.tile", has_text="0.3 kn").first)
    hands.next()
    hands.heading("Check your answers")
    draft = page.evaluate(APART)
    assert draft["answers"]["readings.current"]["value"] == "0.3"
    assert draft["answers"]["hazards.contamination"] == "low"
    assert (draft["revision"], {draft["previous"], *draft["merges"]}) == (3, set(apart))
