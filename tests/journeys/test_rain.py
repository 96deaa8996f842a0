"""Rain on the screen: touches anywhere sign, send, discard, lock and record nothing, and alter no answer without an undo.

The browser's own touch input is used, so a touch becomes what Chromium makes of it: taps, several fingers, drags, long
contacts. `pytest tests/journeys/test_rain.py --rain-visits 3000 -s` is the long run of docs/measurements/hands.md.
"""

import random
import time
from collections import Counter

import pytest

from opsrisk.operations.models import Assessment, LogEntry
from tests.journeys.test_two_tablets import follow, signed_now
from tests.tablet.answers import answers
from tests.tablet.hands import CODE, ENGINE_MS
from tests.tablet.walk import QUESTIONS, RECALL

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(7200)]

TOUCHES = 34  # a visit; 3,000 visits are 102,000 touches
FRESH = 200
OPEN = (*QUESTIONS, "contents", "check", "judgement", "decision", "plan", "choose", "brief", "sign")

STATE = """async () => {
  const load = (name) => import(`/static/tablet/${name}.js`);
  const [keeper, outbox, vault, logbook] = await Promise.all(["keeper", "outbox", "vault", "logbook"].map(load));
  await keeper.flush();
  const drafts = await keeper.drafts();
  const followed = await logbook.followed();
  const lines = (await Promise.all(followed.map((one) => logbook.lines(one.operation.id)))).flat();
  return {
    drafts: Object.fromEntries(drafts.map((one) => [one.id, { status: one.status, signatures: one.signatures.length, answers: one.answers, changed: one.changed ?? {}, judgement: one.judgement }])),
    outbox: (await outbox.entries()).length,
    owner: vault.owner(),
    followed: followed.map((one) => one.operation.id),
    lines: lines.length,
  };
}"""

DRAFTS = """async () => {
  const keeper = await import("/static/tablet/keeper.js");
  await keeper.flush();
  return keeper.drafts();
}"""
ENGLISH = """async () => {
  const [languages, speaking] = await Promise.all(["languages", "speaking"].map((name) => import(`/static/tablet/${name}.js`)));
  if (speaking.spoken() === "en") return false;
  await languages.chooseLanguage("en");
  return true;
}"""
FORGET = """async (id) => (await import("/static/tablet/store.js")).write({ remove: { drafts: [id] } })"""
AGAIN = """async (drafts) => {
  document.getElementById("recall")?.remove();
  const [keeper, store] = await Promise.all(["keeper", "store"].map((name) => import(`/static/tablet/${name}.js`)));
  await keeper.flush();
  const others = (await keeper.drafts()).map((one) => one.id).filter((id) => !drafts.some((one) => one.id === id));
  if (others.length) await store.write({ remove: { drafts: others } });
  for (const one of drafts) {
    keeper.keep(one);
    await keeper.flush();
  }
}"""


class Rain:
    """Touches drawn from a seed: most are short taps, some are drags, several fingers or long contacts, in bursts."""

    def __init__(self, page, seed):
        self.page, self.chance, self.seen = page, random.Random(seed), Counter()
        self.cdp = page.context.new_cdp_session(page)

    def points(self, count):
        size = self.page.viewport_size
        return [
            {"x": self.chance.uniform(0, size["width"]), "y": self.chance.uniform(0, size["height"]), "id": one}
            for one in range(count)
        ]

    def send(self, kind, points):
        self.cdp.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def touch(self):
        kind = self.chance.choices(("tap", "drag", "several", "long"), (87, 7, 5, 1))[0]
        self.seen[kind] += 1
        points = self.points(self.chance.randint(2, 4) if kind == "several" else 1)
        self.send("touchStart", points)
        if kind == "drag":
            for _ in range(3):
                points[0]["x"] += self.chance.uniform(-80, 80)
                points[0]["y"] += self.chance.uniform(-160, 160)
                self.send("touchMove", points)
        if kind == "long":
            self.page.wait_for_timeout(600)
        self.send("touchEnd", [])
        if self.chance.random() < 0.02:  # a pause long enough for a second deliberate tap
            self.page.wait_for_timeout(600)


def altered(before, after):
    """Answers that were given before and are others now, with no undo that brings the given one back."""
    return [
        (draft, field)
        for draft, was in before["drafts"].items()
        for field, answer in was["answers"].items()
        if after["drafts"][draft]["answers"].get(field) != answer
        and answer not in after["drafts"][draft]["changed"].get(field, ())
    ]


def check(before, after):
    assert not set(before["drafts"]) - set(after["drafts"]), "a draft is gone"
    for draft, was in before["drafts"].items():
        now = after["drafts"][draft]
        assert (now["status"], now["signatures"]) == (was["status"], was["signatures"])
    for same in ("outbox", "owner", "followed", "lines"):
        assert after[same] == before[same], same
    assert altered(before, after) == []


def places(operation, half_done, signed):
    """Addresses in turn: every question and step of a half-done assessment, a signed one, and the operation's pages."""
    steps = [f"#/d/{half_done}/{step}" for step in OPEN] + [f"#/d/{signed}/sign", f"#/d/{signed}/sheet"]
    about = [f"#/o/{operation}", f"#/o/{operation}/readings.current", f"#/m/{operation}", f"#/b/{operation}", "recall"]
    return [*steps, *about, "#/", "#/lock", "#/operations", "#/emergency"]


def in_english(hands):
    """Two deliberate taps change the tablet's language, and back; rain gets there now and then. 1 if it had."""
    if "/tablet/" not in hands.page.url:
        hands.page.goto("/tablet/")
    hands.page.locator("#new").or_(hands.page.locator("main h1")).first.wait_for()
    changed = hands.page.evaluate(ENGLISH)
    if changed:
        hands.open()
    return int(changed)


def prepared(hands, county):
    """One assessment up to the signature, and one signed and not sent, as they lie on the tablet."""
    hands.open()
    for draft in hands.page.evaluate(DRAFTS):
        hands.page.evaluate(FORGET, draft["id"])
    for sign in (False, True):
        hands.open()
        hands.to_signing(answers(county))
        if sign:
            hands.sign(CODE)
            hands.page.get_by_role("heading", level=1, name="Signed").wait_for()
    return sorted(hands.page.evaluate(DRAFTS), key=lambda one: one["status"])  # open, signed


def visit(hands, where, drafts):
    """The same work as before the last visit, opened at `where`."""
    page = hands.page
    if "/tablet/" not in page.url:
        hands.open()
    page.evaluate("location.hash = '#/'")
    page.locator("#new").wait_for()
    page.evaluate(AGAIN, drafts)
    page.evaluate("where => { location.hash = where; }", "#/" if where == "recall" else where)
    page.wait_for_timeout(80)
    page.locator("main h1").wait_for(timeout=ENGINE_MS)
    if where == "recall":
        page.evaluate(RECALL)


def test_rain_signs_sends_discards_records_and_alters_nothing(hands, county, context, pytestconfig, console):
    """Each visit begins on another page; after each, nothing on the tablet or at the server is other than before."""
    page = hands.page
    page.set_viewport_size({"width": 1180, "height": 820})
    page.add_init_script("window.print = () => {}")
    operation = signed_now(county)["operation"]["id"]
    hands.open()
    follow(hands)
    rows = (Assessment.objects.count(), LogEntry.objects.count())
    seed = pytestconfig.option.rain_seed
    rain, began, undone, switched, posted = Rain(page, seed), time.monotonic(), 0, 0, []
    context.on("request", lambda request: request.method != "GET" and posted.append(request.url))
    for turn in range(pytestconfig.option.rain_visits):
        if turn % FRESH == 0:  # a decision holds for half an hour
            print(f"{turn} visits, {(time.monotonic() - began) / 60:.0f} min", flush=True)
            drafts = prepared(hands, county)
            todo = places(operation, *(one["id"] for one in drafts))
        visit(hands, todo[turn % len(todo)], drafts)
        before = page.evaluate(STATE)
        for _ in range(TOUCHES):
            rain.touch()
        page.wait_for_timeout(30)
        switched += in_english(hands)
        after = page.evaluate(STATE)
        check(before, after)
        undone += sum(len(one["changed"]) for one in after["drafts"].values())
    assert posted == []
    assert (Assessment.objects.count(), LogEntry.objects.count()) == rows
    minutes = (time.monotonic() - began) / 60
    print(
        f"rain: seed {seed}, {turn + 1} visits to {len(todo)} places, {sum(rain.seen.values())} touches {dict(rain.seen)}; "
        f"{undone} answers changed, each with its undo; language switched {switched} times; {minutes:.0f} min"
    )
