"""A safety officer changes a protocol at the desk, sees a hole before anybody signs, and the chief adopts."""

import json
import re
from pathlib import Path

import pytest

from opsrisk import jobs
from opsrisk.protocols.models import ProtocolVersion
from tests.cast import PASSWORD
from tests.operations.sending import adopt_baseline
from tests.review.past import file_many

DESK = {"width": 1180, "height": 820}
AXE = Path(__file__).parents[2] / "node_modules" / "axe-core" / "axe.min.js"
TEXT_SIZE = 16  # px; nothing on the desk is smaller


@pytest.fixture
def desk(cast, page, console, signed_in):
    """A desk at which people sign in in turn; the baseline is in force and thirty operations lie behind."""
    console.expect("404")  # the browser asks for an icon of its own accord
    console.expect("422")  # what a refused form answers
    file_many(cast, adopt_baseline(cast), 30)
    page.set_viewport_size(DESK)

    def sit_down(person):
        person.set_password(PASSWORD)
        person.save()
        signed_in(person)
        return page

    return sit_down


def start(page):
    page.goto("/protocols/")
    page.get_by_role("link", name="Start a draft from baseline 1.0.0").click()
    page.get_by_role("button", name="Start the draft").click()
    page.get_by_text("all nine properties hold").wait_for()
    return page.url


def count(page) -> int:
    return int(re.match(r"(\d+) of 30", page.locator(".count").inner_text())[1])


def test_an_edit_opens_a_hole_and_is_taken_back(desk, cast, picture):
    """The counterexample shows two situations side by side; without the rule the draft is proven again."""
    page = desk(cast.safety)
    draft = start(page)
    page.goto(draft + "#rules")
    page.locator("#reading-rules").select_option("readings.wave_height")
    page.get_by_role("button", name="Add to 'Stops, triggers").click()
    page.get_by_label("Name of the entry").fill("small_waves")
    page.get_by_label("Says").fill("Waves, while they are small")
    page.get_by_label("Does").select_option("trigger")
    page.get_by_label("Wave height: limit").fill("1")
    page.get_by_label("Reading that").select_option("readings.wave_height")
    page.get_by_role("button", name="and…").first.click()
    page.get_by_label("Wave height: limit").nth(1).fill("3")
    page.get_by_label("Wave height: how").nth(1).select_option("no_worse_than")
    picture("rule")
    page.get_by_role("button", name="Save in the draft").last.click()
    page.get_by_text("Not proven: it may not be adopted").wait_for()
    sides = page.locator("table.sides").first
    words = sides.inner_text()
    assert "Wave height" in words and "Waves, while they are small" in words
    assert "Divers may enter once the controls are in place" in words and "Divers may enter: no configured" in words
    picture("counterexample")
    page.locator("#rules-small_waves").get_by_role("link").click()
    page.get_by_role("button", name="Remove this entry").click()
    page.get_by_text("all nine properties hold").wait_for()
    assert page.get_by_text("Removed: Waves, while they are small.").is_visible()


def test_a_limit_is_tried_on_past_operations_and_then_changed(desk, cast, picture):
    """The slider moves the count both ways; the number in the draft stays until it is saved."""
    page = desk(cast.safety)
    draft = start(page)
    page.get_by_role("link", name="What if: past operations under it").click()
    assert count(page) == 0
    page.get_by_label("Number to move").select_option("lines/nobody_to_save/0")
    page.get_by_role("button", name="Decide again").click()
    slide = page.get_by_role("slider")
    with page.expect_response(lambda answer: "/effect/" in answer.url and "value=20" in answer.url) as moved:
        slide.fill("20")
    assert moved.value.ok
    page.locator(".count", has_text=re.compile(r"^[1-9]")).wait_for()
    assert page.get_by_label("Nobody to save, up to, the value").input_value() == "20"
    many = count(page)
    picture("slider")
    with page.expect_response(lambda answer: "value=45" in answer.url):
        page.get_by_label("Nobody to save, up to, the value").fill("45")
    page.locator(".count", has_text=re.compile("^0 of 30")).wait_for()
    assert many > 0 and slide.input_value() == "45"
    page.get_by_label("Number to move").select_option("weight/contamination/0")
    page.get_by_role("button", name="Decide again").click()
    with page.expect_response(lambda answer: "value=200" in answer.url):
        page.get_by_role("slider").fill("200")
    page.get_by_role("img", name="Points for contamination").wait_for()
    page.get_by_text("nothing is proven").wait_for()
    picture("points")
    page.goto(draft + "entries/lines/nobody_to_save/")
    page.get_by_label("Value").fill("2O")
    page.keyboard.press("Enter")
    page.get_by_role("alert").get_by_text("a whole number as a string").wait_for()
    assert page.get_by_label("Value").input_value() == "2O"
    page.get_by_label("Value").fill("20")
    page.keyboard.press("Enter")
    page.get_by_text("Saved: Nobody to save, up to.").wait_for()
    page.get_by_role("link", name="What differs from baseline 1.0.0").click()
    row = page.get_by_role("row", name=re.compile("Value 45 points 20 points"))
    assert row.is_visible()
    picture("differences")


def test_the_page_waits_for_the_proof_by_itself(desk, cast, monkeypatch):
    """Nobody has to reload it."""
    page = desk(cast.safety)
    asked = []
    monkeypatch.setattr(jobs, "_send", lambda name, args: asked.append((name, args)))
    page.goto("/protocols/")
    page.get_by_role("link", name="Start a draft from baseline 1.0.0").click()
    page.get_by_role("button", name="Start the draft").click()
    page.get_by_text("Being proven.").wait_for()
    (name, args), *_ = asked
    jobs.run(name, *args)
    page.get_by_text("all nine properties hold").wait_for()


def test_the_chief_adopts_behind_the_password(desk, cast, picture):
    """Asked for anew, with the differences and the effect on past operations on the same page."""
    draft = start(desk(cast.safety))
    page = desk(cast.chief)
    page.goto(draft)
    page.get_by_role("link", name="Adopt tarrow 1").click()
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Confirm").click()
    page.get_by_text(re.compile("of 30 decisions would change")).wait_for()
    page.get_by_label("Why this version is adopted").fill("Our own name on it, tried at three trainings")
    picture("adopt")
    page.get_by_role("button", name="Adopt tarrow 1 as Teo Brandt").click()
    page.get_by_text("tarrow 1 is adopted.").wait_for()
    version = ProtocolVersion.objects.get(protocol_id="tarrow")
    assert (version.state, version.adopted_by, version.reason[:8]) == ("adopted", cast.chief, "Our own ")
    page.goto("/protocols/")
    assert page.get_by_text("In force: tarrow 1").is_visible()


def test_the_editor_and_the_slider_work_without_scripts(desk, cast, browser, context):
    """Plain forms: a condition is rearranged, a limit moved, a draft saved."""
    draft = start(desk(cast.safety))
    plain = browser.new_context(viewport=DESK, java_script_enabled=False)
    plain.add_cookies(context.cookies())
    page = plain.new_page()
    page.goto(draft + "entries/combinations/deep_and_cold/")
    page.get_by_role("button", name="leave out").nth(1).click()
    page.get_by_role("button", name="Save in the draft").last.click()
    assert page.get_by_text("Saved: Deep and cold.").is_visible()
    page.goto(draft.replace("/protocols/", "/review/what-if/") + "?limit=lines/nobody_to_save/0")
    page.get_by_label("Nobody to save, up to, the value").fill("20")
    page.get_by_role("button", name="Try this value").click()
    assert count(page) > 0
    plain.close()


PAGES = (
    "",
    "entries/factors/current/",
    "entries/rules/overhead_alone/",
    "entries/inputs/readings.depth/",
    "differences/",
)


def test_no_page_of_the_desk_breaks_a_rule_of_axe(desk, cast):
    """WCAG 2.2 A and AA and best practices; nothing hangs over the right edge; no letter is too small."""
    page = desk(cast.safety)
    draft = start(page)
    document = json.loads(ProtocolVersion.objects.get(protocol_id="tarrow").document)
    rule = next(each["id"] for each in document["rules"] if "all" in each["when"])
    what_if = draft.replace("/protocols/", "/review/what-if/")
    addresses = [draft + part.replace("overhead_alone", rule) for part in PAGES]
    addresses += [
        f"{what_if}?limit=lines/rescue/0&value=50",
        "/review/calibration/",
        "/protocols/",
        "/protocols/bring/",
    ]
    broken = {}
    for address in addresses:
        page.goto(address)
        page.evaluate(AXE.read_text() + "; undefined")
        found = page.evaluate(
            "async () => (await axe.run(document)).violations.map(({ id, nodes }) => [id, nodes.slice(0, 3).map((node) => node.html.slice(0, 160))])"
        )
        wide = page.evaluate("() => document.documentElement.scrollWidth - document.documentElement.clientWidth")
        small = page.evaluate(
            "(least) => [...document.querySelectorAll('main *')].filter((e) => e.childNodes.length && parseFloat(getComputedStyle(e).fontSize) < least && !e.closest('svg')).length",
            TEXT_SIZE,
        )
        if found or wide > 0 or small:
            broken[address] = (found, wide, small)
    assert not broken, json.dumps(broken, indent=1)
