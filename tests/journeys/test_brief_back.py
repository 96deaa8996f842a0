"""Brief, sign, brief back: the tablet calls nothing complete before each person has said own task, limit and signal."""

import json

import pytest

from opsrisk.assessment.read_back import COMPLETE
from opsrisk.operations.briefed import rounds_of, state_of
from opsrisk.operations.models import Assessment, LogEntry, Operation
from tests.tablet.answers import answers
from tests.tablet.hands import ENGINE_MS

pytestmark = pytest.mark.browser


def signed(hands, county):
    """A hold with a recall signal, signed and finished, at its sheet."""
    hands.begin()
    hands.fill(answers(county))
    hands.judge("Hold")
    hands.past_the_plan()
    hands.tap(hands.decision_tile("Hold"))
    hands.next()
    hands.heading("Brief the team")
    hands.page.locator("#brief-recall").fill("Four pulls")
    hands.next()
    hands.page.locator("#code-field").wait_for()
    hands.sign()
    hands.finish()


def to_the_read_backs(hands):
    hands.page.locator("main a", has_text="Brief back").wait_for(timeout=ENGINE_MS)
    hands.tap(hands.page.locator("main a", has_text="Brief back"))
    hands.heading("Brief back")
    begin = hands.page.locator("#begin")
    if begin.count():
        hands.tap(begin)
        hands.confirm("begin-confirm")
    hands.page.locator(".loops").wait_for()


def told(page, key):
    """What the sheet says that this person has to say."""
    return page.evaluate(
        """async (key) => {
          const { briefingOf } = await import("/static/tablet/briefed.js");
          const state = await briefingOf(location.hash.split("/")[2]);
          return state.loops.find((one) => one.key === key);
        }""",
        key,
    )


def says(hands, key, **instead):
    """This person says it back as on the sheet, but for what stands in `instead`: a tile, or None for could not say it."""
    page = hands.page
    loop = told(page, key)
    hands.tap(page.locator(f"a[href$='/{key}']"))
    page.locator("#said-task").wait_for()
    for item in ("task", "limit", "abort"):
        words = instead.get(item, loop["told"][item])
        label = "Could not say it" if words is None else words
        hands.tap(page.locator(f"#said-{item} label").filter(has=page.get_by_text(label, exact=True)))
    hands.next()
    hands.confirm("said-confirm")
    hands.heading("Brief back")


def state_words(hands):
    return hands.page.locator(".ready-state").inner_text()


def open_keys(page):
    return page.evaluate(
        """async () => {
          const { briefingOf } = await import("/static/tablet/briefed.js");
          const state = await briefingOf(location.hash.split("/")[2]);
          return state.loops.filter((one) => one.state !== "closed").map((one) => one.key);
        }"""
    )


def test_not_complete_until_everybody_said_it_with_no_network_and_sent_later(installed, county, context, console):
    """A wrong limit closes nothing; the last right one makes it complete; the server then knows the same round."""
    console.expect("ERR_INTERNET_DISCONNECTED")
    console.expect("Failed to fetch")
    context.set_offline(True)
    signed(installed, county)
    page, diver = installed.page, str(county.diver.pk)
    to_the_read_backs(installed)
    assert "Not ready" in state_words(installed)
    for key in open_keys(page):
        if key != diver:
            says(installed, key)
    assert "1 of" in state_words(installed) and "Mara Quill" in state_words(installed)
    says(installed, diver, limit=None)
    assert "Not ready" in state_words(installed)
    assert "not said as on the sheet: own limit" in page.locator(".loop.wrong").inner_text()
    says(installed, diver)
    page.locator(".ready-state.is-ready").wait_for()
    assert COMPLETE in state_words(installed)
    assert "not sent" in page.locator("#sent").inner_text()
    assert not LogEntry.objects.exists()
    context.set_offline(False)
    page.get_by_text("Nothing waits to be sent").wait_for(timeout=60_000)
    operation = Operation.objects.get()
    assert state_of(Assessment.objects.get())["ready"]
    (round_held,) = rounds_of(operation)
    assert (round_held["not_right"], round_held["people"]) == (1, round_held["tries"] - 1)
    assert diver in round_held["present"]


def test_other_words_are_kept_as_said_and_judged_by_who_heard_them(hands, county):
    """Typed words stand in the record; the hearer says whether they mean the same, and nobody hears themselves."""
    signed(hands, county)
    page, diver = hands.page, str(county.diver.pk)
    to_the_read_backs(hands)
    hands.tap(page.locator(f"a[href$='/{diver}']"))
    hands.next()
    assert page.locator(".summary li").count() == 3
    for item in ("task", "limit"):
        right = told(page, diver)["told"][item]
        hands.tap(page.locator(f"#said-{item} label").filter(has=page.get_by_text(right, exact=True)))
    hands.tap(page.locator("#said-abort label", has_text="Other words"))
    page.locator("#abort-words").fill("Pulls on the line, four of them")
    hands.next()
    assert "Say whether it means the same." in page.locator(".summary").inner_text()
    hands.tap(page.locator("#abort-right label", has_text="Yes"))
    assert page.locator("#heard label", has_text="Mara Quill").count() == 0
    hands.next()
    hands.confirm("said-confirm")
    hands.heading("Brief back")
    page.locator("#log, .loop.closed").first.wait_for()
    for _ in range(100):
        if LogEntry.objects.filter(kind="read_back").exists():
            break
        page.wait_for_timeout(200)
    content = json.loads(LogEntry.objects.get(kind="read_back").text)["content"]
    assert content["abort"] == {"said": "Pulls on the line, four of them", "right": True}
    assert content["heard_by"] == str(county.supervisor.pk)


def test_a_revision_with_another_diver_opens_the_loops_again_and_says_why(hands, county):
    """The sheet of the new revision is not ready; the row names what changed."""
    signed(hands, county)
    page = hands.page
    to_the_read_backs(hands)
    for key in open_keys(page):
        says(hands, key)
    page.locator(".ready-state.is-ready").wait_for()
    hands.tap(page.get_by_role("link", name="Start"))
    hands.tap(page.get_by_role("link", name="Sheet"))
    hands.heading("Briefing sheet")
    assert COMPLETE in page.locator(".paper .end").inner_text()
    hands.tap(page.get_by_role("button", name="Change: next revision"))
    page.wait_for_function("() => location.hash.endsWith('/contents')")
    changed = answers(county) | {}
    changed["positions.standby_diver"] = changed["positions.standby_diver"] | {"person": str(county.chief.pk)}
    hands.fill(changed)
    hands.judge("Hold")
    hands.choose("Hold")
    hands.sign()
    hands.finish()
    page.locator(".screen-only .not-ready").wait_for(timeout=ENGINE_MS)
    to_the_read_backs(hands)
    text = page.locator("#page").inner_text()
    assert "standby diver: was Oskar Lund, now Teo Brandt" in text
    assert "recall signal: was Four pulls, now not written down" not in text  # carried over from the last briefing


def test_people_who_go_in_need_a_stated_gain_before_anybody_signs(hands, county):
    """Where the decision lets a diver in, the page asks what is gained; a hold asks nothing."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    hands.judge("Hold")
    hands.past_the_plan()
    hands.tap(hands.decision_tile("Vehicle first"))
    hands.next()
    hands.heading("Brief the team")
    hands.next()
    assert "Say what is gained by sending people in." in page.locator(".summary").inner_text()
    hands.gain("A life that may still be saved")
    hands.next()
    page.locator("#code-field").wait_for()
    gain = page.evaluate("async () => (await import('/static/tablet/context.js')).app.draft.record.brief.gain")
    assert gain == "A life that may still be saved"


VOID = """async (at) => {
  const { voidNotice } = await import("/static/tablet/readback.js");
  return [1, 2].map(() => voidNotice({ at, by: "Ines Varga", reason: "another place" })).map((one) => [one.textContent, one.getAttribute("role")]);
}"""


def test_a_void_of_another_day_says_which_and_is_called_out_once(hands):
    """Drawn anew, as pages are every few seconds, it only stands there."""
    (first, role), (second, silent) = hands.page.evaluate(VOID, "2026-11-20T14:05:00")
    assert "Declared void 2026-11-20 14:05" in first and first == second
    assert (role, silent) == ("alert", None)
