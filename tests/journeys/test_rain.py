"""Rain on the screen: thousands of touches anywhere sign nothing, send nothing, discard nothing and lock nothing."""

import pytest

from tests.tablet.answers import answers

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(600)]

SESSIONS = 12
TOUCHES = 500
RAIN = """async ([seed, touches]) => {
  let state = seed;
  const chance = () => (state = (state * 1103515245 + 12345) % 2147483648) / 2147483648;
  window.print = () => {};
  window.posted ??= [];
  if (!window.listening) {
    const real = window.fetch;
    window.fetch = (...given) => { if (given[1]?.method === "POST") window.posted.push(String(given[0])); return real(...given); };
    window.listening = true;
  }
  for (let n = 0; n < touches; n += 1) {
    const [x, y] = [chance() * innerWidth, chance() * innerHeight];
    const here = document.elementFromPoint(x, y);
    if (here) {
      const at = { bubbles: true, cancelable: true, clientX: x, clientY: y };
      here.dispatchEvent(new PointerEvent("pointerdown", at));
      here.dispatchEvent(new PointerEvent("pointerup", at));
      if (chance() > 0.1) here.dispatchEvent(new MouseEvent("click", at));
    }
    if (chance() < 0.05) document.getElementById("page").scrollTop = chance() * 3000;
    await new Promise((resolve) => setTimeout(resolve, chance() < 0.05 ? 40 : 0));
  }
  const keeper = await import("/static/tablet/keeper.js");
  await keeper.flush();
  const drafts = await keeper.drafts();
  return {
    signatures: drafts.flatMap((draft) => draft.signatures).length,
    drafts: drafts.map((draft) => draft.id),
    outbox: (await (await import("/static/tablet/outbox.js")).entries()).length,
    owner: (await import("/static/tablet/vault.js")).owner(),
    posted: window.posted,
  };
}"""


def test_rain_signs_sends_discards_and_locks_nothing(hands, county):
    """Six thousand touches in twelve sessions, begun on a different page each time."""
    page = hands.page
    page.set_viewport_size({"width": 1180, "height": 820})
    hands.begin()
    hands.fill(answers(county))
    hands.judge("Hold")
    hands.choose("Hold")
    address = page.evaluate("location.hash").rsplit("/", 1)[0]
    mine = address.removeprefix("#/d/")
    known = {mine}
    for session in range(SESSIONS):
        step = ["sign", "callout", "check", "brief", "position-diver", "condition"][session % 6]
        page.evaluate("hash => { location.hash = hash; }", f"{address}/{step}")
        found = page.evaluate(RAIN, [session + 1, TOUCHES])
        assert found["signatures"] == 0
        assert found["outbox"] == 0
        assert found["posted"] == []
        assert found["owner"] == str(county.supervisor.pk)
        assert known <= set(found["drafts"])
        known = set(found["drafts"])
