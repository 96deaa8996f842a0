"""The engine's files are compiled once on a tablet; damaged or of another bundle, they are never what decides."""

import pytest

from opsrisk.protocols.shipped import FIXTURES
from tests.tablet.hands import ENGINE_MS

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

COMPILE_AFTER_MS = 3000
KEPT = """async () => {
  const cache = await caches.open("compiled");
  return Promise.all((await cache.keys()).map(async (one) => [new URL(one.url).pathname, (await (await cache.match(one)).arrayBuffer()).byteLength]));
}"""
DAMAGE = """async () => {
  const cache = await caches.open("compiled");
  for (const one of await cache.keys()) await cache.put(one, new Response(new Uint8Array(5000)));
}"""
ELSE = """async () => {
  const cache = await caches.open("compiled");
  const [one] = await cache.keys();
  await cache.put("/tablet/compiled/other.zip", await cache.match(one));
  await cache.delete(one);
}"""
DECIDE = """async (situation) => {
  const engine = await import("/static/tablet/engine.js");
  const context = await import("/static/tablet/context.js");
  const protocol = context.app.kit.protocol.document;
  const now = "2026-11-28T12:00:00+00:00";
  return engine.onDevice("assess", { situation, protocol, now });
}"""
SITUATION = (FIXTURES / "situations" / "example.json").read_text()


def kept(page):
    """What is kept once something is: addresses and sizes."""
    for _ in range(ENGINE_MS // 250):
        if found := page.evaluate(KEPT):
            return found
        page.wait_for_timeout(250)
    raise AssertionError("nothing was kept")


def again(hands):
    hands.page.reload()
    hands.page.locator("#new").wait_for()
    return hands.page.evaluate(DECIDE, SITUATION)


def test_compiled_once_and_never_instead_of_the_bundle(hands, county):
    """The same answer from the bundle, from compiled files, beside damaged ones and beside those of another bundle."""
    page = hands.page
    hands.open()
    first = again(hands)
    assert first["decision"]["decision"]
    [(address, size)] = kept(page)
    assert size > 300_000
    assert again(hands) == first
    assert page.evaluate(KEPT) == [[address, size]]
    page.evaluate(DAMAGE)
    assert again(hands) == first
    assert page.evaluate(KEPT) == []
    assert again(hands) == first
    assert kept(page)[0][0] == address
    page.evaluate(ELSE)
    assert again(hands) == first
    page.wait_for_timeout(COMPILE_AFTER_MS)
    for _ in range(ENGINE_MS // 250):
        if [one for one, _ in page.evaluate(KEPT)] == [address]:
            return
        page.wait_for_timeout(250)
    raise AssertionError(page.evaluate(KEPT))
