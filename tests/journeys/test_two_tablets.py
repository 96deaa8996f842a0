"""Two tablets on one operation: a worse reading on one recalls the divers on both, and both know who heard it."""

import json
from datetime import UTC, datetime
from time import perf_counter

import pytest
from django.test import Client

from opsrisk.operations.models import LogEntry
from tests.browser import TABLET
from tests.operations.sending import ASSESSED, CALM, body, record, send, sign
from tests.tablet.hands import ENGINE_MS, Hands

pytestmark = pytest.mark.browser
SIGNED_IN = "allauth.account.auth_backends.AuthenticationBackend"


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
    for one in (hands, second):
        one.page.locator("#recall").wait_for(timeout=ENGINE_MS)
        assert "Recall" in one.page.locator("#recall h2").inner_text()
    print(f"from the tap to the recall on the other tablet: {perf_counter() - began:.1f} s")
    assert second.page.evaluate("async () => (await import('/static/tablet/sound.js')).sound.on")
    for one in (hands, second):
        one.tap(one.page.locator("#recall-hear"))
        one.page.locator("#recall-heard:enabled").wait_for()
        one.tap(one.page.locator("#recall-heard"))
        one.page.locator("#recall").wait_for(state="detached")
    for one in (hands, second):
        one.page.locator("#log li", has_text="Recall heard").nth(1).wait_for()
    kinds = sorted(LogEntry.objects.values_list("kind", flat=True))
    assert kinds == ["acknowledged", "acknowledged", "reading", "recall"]
