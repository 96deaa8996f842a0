"""Every page of the tablet, one after another, for tests that look at all of them."""

from collections.abc import Iterator

from tests.cast import Cast
from tests.operations.photos import jpeg
from tests.tablet.answers import answers
from tests.tablet.hands import ENGINE_MS, Hands

PHOTO = {"name": "x.jpg", "mimeType": "image/jpeg", "buffer": jpeg(600, 400, "teal")}
CLEARED = """async () => (await import('/static/tablet/store.js')).write(
  { put: { settings: [{ name: 'cleared', value: { since: '2026-11-28T09:02Z', unsent: 3 } }] } })"""
QUESTIONS = (
    "callout", "place", "submerged", "current", "entanglement", "daylight", "line", "ready", "position-diver", "condition", "vehicle",
)  # fmt: skip


def pages(hands: Hands, county: Cast) -> Iterator[str]:
    """Stops at each page and gives its name; the caller looks at `hands.page`."""
    yield "start"
    yield from _questions(hands, county)
    yield from _decision(hands)
    yield from _signing(hands)
    yield from _operation(hands)


def _questions(hands: Hands, county: Cast) -> Iterator[str]:
    page = hands.page
    hands.begin()
    hands.fill(answers(county, task__kind="recovery", hazards__entanglement="moderate", task__target="contact"))
    for screen in QUESTIONS:
        page.evaluate("step => { location.hash = location.hash.replace(/[^/]+$/, step); }", screen)
        page.wait_for_function("screen => location.hash.endsWith(screen)", arg=screen)
        page.wait_for_timeout(50)
        yield screen
        if screen in ("current", "condition"):
            hands.next()
            page.locator("main .error, #next").first.wait_for()
    page.evaluate("step => { location.hash = location.hash.replace(/[^/]+$/, step); }", "current")
    page.locator(".number input").fill("1..2")
    hands.next()
    page.locator(".summary").wait_for()
    yield "an error"
    page.locator(".number input").fill("9")
    hands.next()
    page.locator(".readback").wait_for()
    yield "reading back"
    page.evaluate("location.hash = location.hash.replace(/[^/]+$/, 'contents')")
    hands.heading("All questions")
    yield "contents"
    yield from _photos(hands)
    page.evaluate("location.hash = location.hash.replace(/[^/]+$/, 'entanglement/check')")
    hands.tap(hands.tile("Light"))
    hands.next()
    hands.heading("Check your answers")
    undo = page.get_by_role("button", name=hands.say("Undo") + " " + hands.say("What can catch a diver?"))
    undo.wait_for()
    yield "check"
    hands.tap(undo)
    undo.wait_for(state="detached")


def _photos(hands: Hands) -> Iterator[str]:
    page = hands.page
    page.evaluate("location.hash = location.hash.replace(/[^/]+$/, 'photos')")
    hands.heading("Photos")
    for number in range(2):
        page.locator("#photo-file").set_input_files(PHOTO)
        page.locator("#photos li").nth(number).wait_for()
    page.locator("#photos").get_by_role("button", name=hands.say("Take it out")).first.tap()
    page.get_by_text(hands.say("Kept 30 days, never sent")).wait_for()
    yield "photos"


def _decision(hands: Hands) -> Iterator[str]:
    page = hands.page
    hands.next()
    hands.heading("What would you do?")
    page.get_by_text(hands.say("No stop among the answers. The rest is shown after you have judged.")).wait_for(
        timeout=ENGINE_MS
    )
    yield "judgement"
    hands.tap(hands.decision_tile("Hold"))
    hands.next()
    hands.heading("The computed decision")
    yield "decision"
    yield from _plan(hands)
    hands.heading("What is done?")
    hands.tap(hands.decision_tile("Divers may enter"))
    yield "choose"
    hands.tap(hands.decision_tile("Hold"))
    hands.next()
    hands.heading("Brief the team")
    yield "brief"


def _plan(hands: Hands) -> Iterator[str]:
    page = hands.page
    hands.next()
    page.locator(".number-link").first.wait_for(timeout=ENGINE_MS)
    yield "plan"
    page.locator(".number-link").first.tap()
    page.get_by_role("heading", name=hands.say("Worked out from")).wait_for()
    yield "a number of the plan"
    page.evaluate("location.hash = location.hash.replace(/plan.*/, 'plan/search_effort/length')")
    hands.heading("Length of the area")
    yield "an input of the plan"
    page.evaluate("location.hash = location.hash.replace(/plan.*/, 'plan/tether_shape/obstacles')")
    page.get_by_role("link", name=hands.say("Add a line")).wait_for()
    yield "a list of the plan"
    page.evaluate("location.hash = location.hash.replace(/plan.*/, 'plan/daylight/at')")
    page.get_by_text(hands.say("Four digits on the 24-hour clock: 0705 or 07:05.")).wait_for()
    yield "a time of the plan"
    page.evaluate("location.hash = location.hash.replace(/plan.*/, 'choose')")


def _signing(hands: Hands) -> Iterator[str]:
    page = hands.page
    hands.next()
    page.locator("#code-field").fill("tarrow-county-demo")
    hands.next()
    page.locator("#sign-confirm").wait_for()
    yield "signing"
    page.locator("#sign-confirm:not([disabled])").tap()
    hands.heading("Signed")
    yield "signed"
    hands.next()
    hands.confirm("send-confirm")
    hands.heading("Briefing sheet")
    yield "sheet"
    page.get_by_role("link", name=hands.say("Emergency"), exact=True).tap()
    hands.heading("Emergency: read and do")
    yield "emergency"
    page.evaluate("location.hash = '#/lock'")
    page.get_by_role("heading", level=1, name=hands.say("Lock this tablet")).wait_for()
    yield "lock"
    page.evaluate("location.hash = '#/bring'")
    hands.heading("Bring in a sealed file")
    yield "a sealed file"
    page.evaluate("location.hash = '#/received'")
    page.get_by_text(hands.say("Lines in operations' logs")).wait_for()
    yield "what the server has"
    page.evaluate(CLEARED)
    hands.tap(page.get_by_role("link", name=hands.say("Start")))
    page.locator("#cleared").wait_for()
    yield "storage cleared"
    hands.tap(page.get_by_role("button", name=hands.say("I have read this")))
    page.locator("#cleared").wait_for(state="detached")


# The operation as this tablet follows it, with a second revision that was signed apart; nothing is asked of the server meanwhile.
APART = """async () => {
  const [logbook, vault, watching] = await Promise.all(["logbook", "vault", "watching"].map((name) => import(`/static/tablet/${name}.js`)));
  let one = null;
  for (let turn = 0; turn < 200 && !one?.current.length; turn += 1) {
    await new Promise((go) => setTimeout(go, 100));
    [one] = await logbook.followed();
  }
  await watching.end();
  const { id, owner, since, operation, upto, closed_at, revisions, current } = one;
  const other = structuredClone(revisions[current[0]]);
  Object.assign(other, { digest: "f".repeat(64), made_by: "Oskar Lund" });
  other.record.situation.readings.current.value = "2.5";
  const content = { operation, upto, closed_at, revisions: { ...revisions, [other.digest]: other }, current: [current[0], other.digest] };
  await vault.keep([{ store: "watch", row: { id, owner, since }, content }]);
  return operation.id;
}"""
RECALL = """async () => {
  const [logbook, recall] = await Promise.all(["logbook", "recall"].map((name) => import(`/static/tablet/${name}.js`)));
  const [one] = await logbook.followed();
  const content = { from: "divers", to: "hold", because: "Current at the work depth 4 kn. A stop for divers", reading: "r" };
  recall.showRecall(one, { name: "Oskar Lund", line: { id: "l", at: new Date().toISOString(), content } });
}"""


def _read_backs(hands: Hands, operation: str) -> Iterator[str]:
    page = hands.page
    page.evaluate("id => { location.hash = `#/b/${id}`; }", operation)
    page.locator("#begin").wait_for(timeout=ENGINE_MS)
    yield "brief back"
    page.locator("#begin").tap()
    hands.confirm("begin-confirm")
    page.locator(".loops a").first.wait_for()
    yield "read-backs"
    page.locator(".loops a").first.tap()
    page.locator("#said-task").wait_for()
    hands.tap(page.locator("#said-abort label", has_text=hands.say("Other words")))
    hands.next()
    page.locator(".summary").wait_for()
    yield "a read-back"


def _operation(hands: Hands) -> Iterator[str]:
    page = hands.page
    operation = page.evaluate(APART)
    page.evaluate("location.hash = '#/operations'")
    hands.heading("Operations under way")
    page.get_by_role("link", name=hands.say("Conditions")).wait_for()
    yield "operations"
    page.evaluate("id => { location.hash = `#/o/${id}`; }", operation)
    page.get_by_role("heading", name=hands.say("Readings")).wait_for(timeout=ENGINE_MS)
    yield "conditions"
    page.evaluate("id => { location.hash = `#/o/${id}/photos`; }", operation)
    page.locator("#photo-list li").first.wait_for()
    yield "an operation's photos"
    page.evaluate("id => { location.hash = `#/o/${id}/readings.current`; }", operation)
    page.locator(".keypad").wait_for()
    yield "a new reading"
    yield from _read_backs(hands, operation)
    page.evaluate("id => { location.hash = `#/m/${id}`; }", operation)
    page.locator("main fieldset[id^=meet-]").first.wait_for(timeout=ENGINE_MS)
    yield "two revisions"
    page.evaluate(RECALL)
    page.locator("#recall-hear").tap()
    page.locator("#recall-heard").wait_for()
    yield "recall"
