"""What has been entered is on the disk within a second, survives the tablet's death, and comes back with a word."""

import random

import pytest

from tests.tablet.answers import answers
from tests.tablet.hands import Hands

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

STORED = """async () => {
  const { app } = await import("/static/tablet/context.js");
  const keeper = await import("/static/tablet/keeper.js");
  const draft = (await keeper.drafts())[0];
  return draft && { answers: draft.answers, typing: draft.typing, at: draft.at };
}"""
STOPWATCH = """() => {
  window.took = [];
  let since = 0;
  document.getElementById("page").addEventListener("change", () => { since = performance.now(); }, true);
  new MutationObserver(() => {
    if (document.getElementById("kept").dataset.state === "saved" && since) {
      window.took.push(performance.now() - since);
      since = 0;
    }
  }).observe(document.getElementById("kept"), { attributes: true, attributeFilter: ["data-state"] });
}"""
FULL_DISK = """() => {
  const put = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (...given) {
    if (window.fullDisk) throw new DOMException("no room", "QuotaExceededError");
    return put.apply(this, given);
  };
}"""


def test_every_tap_is_on_the_disk(hands):
    """Ten taps, each followed by the database's own word that it is written, and read back; the longest is printed."""
    page = hands.page
    hands.begin()
    hands.saved()
    page.evaluate(STOPWATCH)
    for count, label in enumerate(["Rescue", "Recovery", "Evidence", "Training", "Object"] * 2, 1):
        hands.tap(hands.tile(label))
        page.wait_for_function("count => window.took.length === count", arg=count)
    took = page.evaluate("() => window.took")
    print(f"longest from tap to saved: {max(took):.0f} ms")
    assert len(took) == 10
    assert page.evaluate(STORED)["typing"] == {"task.kind": "object"}


def test_the_database_is_asked_to_flush(hands):
    """Every transaction that writes an answer is of strict durability."""
    page = hands.page
    page.evaluate("""() => {
      window.asked = [];
      const transaction = IDBDatabase.prototype.transaction;
      IDBDatabase.prototype.transaction = function (...given) {
        const made = transaction.apply(this, given);
        if (made.mode === "readwrite") window.asked.push(made.durability);
        return made;
      };
    }""")
    hands.begin()
    hands.tap(hands.tile("Recovery"))
    hands.saved()
    asked = page.evaluate("() => window.asked")
    assert asked and set(asked) == {"strict"}


STEADY = """async () => {
  const [{ app }, keeper] = await Promise.all(["context", "keeper"].map((name) => import(`/static/tablet/${name}.js`)));
  await keeper.flush();
  let written = 0;
  for (let touch = 1; touch <= 50 && !written; touch += 1) {
    app.draft.typing = { touch };
    keeper.keep(app.draft);
    await new Promise((done) => setTimeout(done, 40));
    written = (await keeper.load(app.draft.id)).typing.touch ?? 0;
  }
  return written;
}"""


def test_steady_typing_does_not_put_off_the_writing(hands):
    """A touch every 40 ms, for two seconds at most: what was typed is on the disk while the typing goes on."""
    hands.begin()
    hands.saved()
    assert hands.page.evaluate(STEADY) > 0


def test_a_killed_tablet_comes_back_at_the_same_step(hands, context):
    """The tab dies without a goodbye; the start page names the work and its hour, and Continue leads to the step."""
    hands.begin()
    for screen, given in (("callout", ["Recovery"]), ("place", ["Quarry basin"]), ("submerged", "45")):
        hands.answer(screen, given)
    hands.tap(hands.tile("A contact"))
    hands.saved()
    hands.page.close(run_before_unload=False)
    again = Hands(context.new_page())
    again.open()
    assert "Recovered work from today" in again.page.locator("main").inner_text()
    again.tap(again.page.get_by_role("link", name="Continue"))
    again.heading("How well is the target known?")
    assert again.page.locator("input:checked").get_attribute("value") == "contact"
    stored = again.page.evaluate(STORED)
    assert stored["answers"]["task.kind"] == "recovery"
    assert stored["answers"]["task.submerged_at"]["value"] == "45"


def test_twenty_kills_at_random_lose_at_most_the_tap_in_hand(hands, context):
    """Whatever the moment, every tap that the page called saved is there afterwards."""
    rng = random.Random(14)
    page = hands.page
    hands.begin()
    address = page.evaluate("location.hash")
    values = ["rescue", "recovery", "evidence", "object", "inspection", "training"]
    for _ in range(20):
        saved = None
        for _ in range(rng.randrange(1, 4)):
            value = rng.choice(values)
            page.locator(f"main label:has(input[value={value}])").tap()
            if rng.random() < 0.5:
                page.locator("#kept[data-state=saved]").wait_for()
                saved = value
            else:
                saved = (saved, value) if isinstance(saved, str) else saved
            page.wait_for_timeout(rng.randrange(0, 120))
        page.close(run_before_unload=False)
        page = context.new_page()
        page.add_init_script("delete Navigator.prototype.serviceWorker")
        page.goto(f"/tablet/{address}")
        page.get_by_role("heading", level=1, name="What are you called out for?").wait_for()
        found = page.evaluate(STORED)["typing"].get("task.kind")
        if isinstance(saved, str):
            assert found == saved


def test_putting_the_tablet_away_saves_at_once(hands):
    """Hidden: written without waiting for the pause after the last tap."""
    page = hands.page
    hands.begin()
    hands.saved()
    hands.tap(hands.tile("Evidence"))
    page.evaluate(
        "() => { Object.defineProperty(document, 'visibilityState', { value: 'hidden' }); document.dispatchEvent(new Event('visibilitychange')); }"
    )
    hands.saved()
    assert page.evaluate(STORED)["typing"] == {"task.kind": "evidence"}


def test_a_full_disk_is_said_within_a_second_and_loses_nothing(hands):
    """The answer stays on the page, the page says what to do, and Save again saves."""
    page = hands.page
    page.evaluate(FULL_DISK)
    hands.begin()
    hands.saved()
    page.evaluate("() => { window.fullDisk = true; }")
    hands.tap(hands.tile("Recovery"))
    page.locator("#not-saved").wait_for(timeout=1000)
    assert "This device is full" in page.locator("#not-saved").inner_text()
    assert page.locator("#kept").get_attribute("data-state") == "failed"
    hands.next()
    hands.heading("Where is it?")
    page.locator("#kept[data-state=failed]").wait_for()
    page.evaluate("() => { window.fullDisk = false; }")
    hands.tap(page.get_by_role("button", name="Save again"))
    hands.saved()
    assert page.locator("#not-saved").count() == 0
    assert page.evaluate(STORED)["answers"] == {"task.kind": "recovery"}


def test_a_second_tab_does_not_write(hands, context):
    """One writer: the second tab says where the first is, and shows no answers."""
    hands.begin()
    second = context.new_page()
    second.goto("/tablet/")
    second.get_by_role("heading", name="Open in another tab").wait_for()


def test_work_set_aside_is_kept_and_comes_back(hands, county):
    """Setting aside deletes nothing for thirty days."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    page.evaluate("location.hash = '#/'")
    hands.tap(page.get_by_role("button", name="Set aside"))
    page.get_by_text("set aside today").wait_for()
    assert page.get_by_role("link", name="Continue").count() == 0
    hands.tap(page.get_by_role("button", name="Bring it back"))
    page.get_by_role("link", name="Continue").wait_for()
    assert len(page.evaluate(STORED)["answers"]) > 30


def test_a_failed_crew_change_voids_what_was_briefed(hands, county):
    """Another answer after the decision: decision, ticks, choice and what was said back are asked for again."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    hands.judge()
    hands.choose(page.locator(".verdict span").first.inner_text())
    page.evaluate("location.hash = location.hash.replace('sign', 'entanglement')")
    hands.heading("What can catch a diver?")
    hands.tap(hands.tile("Moderate"))
    hands.next()
    page.evaluate("location.hash = location.hash.replace(/[^/]+$/, 'sign')")
    hands.heading("The computed decision")
