"""Work on the tablet is sealed: nobody else reads it, and its owner never loses it."""

import json

import pytest

from tests.tablet.answers import answers
from tests.tablet.hands import CODE

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

CANARY = "a word that no page of ours holds: quibberwick"
DUMP = """async () => {
  const text = (value) => {
    if (value instanceof ArrayBuffer) return new TextDecoder("latin1").decode(value);
    if (value instanceof Uint8Array) return new TextDecoder("latin1").decode(value);
    return JSON.stringify(value, (key, inner) => (inner instanceof ArrayBuffer || inner instanceof Uint8Array ? text(inner) : inner)) ?? "";
  };
  let found = JSON.stringify({ ...localStorage }) + JSON.stringify({ ...sessionStorage });
  for (const { name } of await indexedDB.databases()) {
    const db = await new Promise((resolve) => { const open = indexedDB.open(name); open.onsuccess = () => resolve(open.result); });
    for (const store of db.objectStoreNames) {
      const rows = await new Promise((resolve) => { const all = db.transaction(store).objectStore(store).getAll(); all.onsuccess = () => resolve(all.result); });
      found += rows.map(text).join();
    }
    db.close();
  }
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) if (!/wasm|zip|woff|ttf|png/.test(request.url)) found += await (await cache.match(request)).text();
  }
  return found;
}"""


def with_secrets(hands, county):
    """A draft and a finished record that hold the canary."""
    hands.whole(answers(county), place=CANARY)
    hands.page.get_by_text("Nothing waits to be sent").wait_for()
    hands.page.evaluate("location.hash = '#/'")
    hands.page.get_by_role("button", name="New assessment").wait_for()
    hands.begin()
    hands.fill(answers(county), place=CANARY)


def lock(hands):
    hands.page.evaluate("location.hash = '#/lock'")
    hands.page.locator("#code-field").fill(CODE)
    with hands.page.expect_navigation():
        hands.tap(hands.page.locator("#lock"))


def test_nothing_personal_is_stored_in_clear(installed, county):
    """Canary, names, places: in no database, no store and no cache, while signed in and after locking."""
    with_secrets(installed, county)
    secrets = [CANARY, "Mara Quill", "Ines Varga", "Quarry basin", "quibberwick"]
    for moment in ("signed in", "locked"):
        found = installed.page.evaluate(DUMP)
        assert len(found) > 10_000
        assert not [word for word in secrets if word in found], moment
        if moment == "signed in":
            lock(installed)
            installed.page.get_by_role("heading", level=1).wait_for()


def test_locked_work_opens_with_the_code_and_nothing_else(hands, county, context):
    """Locked without a server in reach, a wrong code opens nothing; the right one brings everything back."""
    page = hands.page
    with_secrets(hands, county)
    lock(hands)
    hands.heading("This tablet is locked")
    assert CANARY not in page.content()
    page.locator("#code-field").fill("wrong code")
    hands.next()
    page.locator(".summary").wait_for()
    assert "not the signing code" in page.locator(".summary").inner_text()
    page.locator("#code-field").fill(CODE)
    hands.next()
    page.get_by_role("button", name="New assessment").wait_for()
    assert page.get_by_text(CANARY).count() >= 2


def test_locking_signs_out_at_the_server(hands, county):
    """The session ends with the lock."""
    with_secrets(hands, county)
    lock(hands)
    hands.heading("This tablet is locked")
    assert hands.page.evaluate("async () => (await (await fetch('/tablet/session.json')).json()).person") is None


def test_the_next_user_sees_nothing(hands, county, signed_in):
    """A colleague on the same tablet: an empty start page, and no key to what is sealed."""
    with_secrets(hands, county)
    lock(hands)
    signed_in(county.deputy)
    hands.open()
    text = hands.page.locator("body").inner_text()
    assert CANARY not in text
    assert "Continue" not in text


def test_no_lock_without_the_code_that_opens_it(hands, county):
    """Before and after the lock was set: only the right code locks, so that it can be opened again."""
    page = hands.page
    page.evaluate("location.hash = '#/lock'")
    for code, button in (("wrong code", "#lock"), ("", "#protect"), (CODE, "#protect"), ("wrong code", "#lock")):
        page.locator("#code-field").fill(code)
        hands.tap(page.locator(button))
        if code == CODE:
            hands.heading("Lock this tablet")
        else:
            page.locator(".summary").wait_for()
    assert page.evaluate("async () => (await import('/static/tablet/vault.js')).owner()") == str(county.supervisor.pk)


def test_setting_the_lock_seals_earlier_work_anew(hands, county):
    """What was stored before the code was known opens with it afterwards."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county), place=CANARY)
    page.evaluate("location.hash = '#/lock'")
    page.locator("#code-field").fill(CODE)
    hands.tap(page.locator("#protect"))
    hands.heading("Lock this tablet")
    lock(hands)
    hands.heading("This tablet is locked")
    page.locator("#code-field").fill(CODE)
    hands.next()
    page.get_by_role("link", name="Continue").wait_for()
    assert CANARY in page.locator("main").inner_text()
    assert (
        json.loads(
            page.evaluate(
                "async () => JSON.stringify((await (await import('/static/tablet/keeper.js')).drafts())[0].answers['task.kind'])"
            )
        )
        == "recovery"
    )
