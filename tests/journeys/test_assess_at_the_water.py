"""A whole assessment with wet gloves: taps alone, few of them, upright or across, nothing asked twice."""

import pytest

from tests.tablet.answers import answers
from tests.tablet.hands import CORE, RECOVERY

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

UPRIGHT = {"width": 820, "height": 1180}
ACROSS = {"width": 1180, "height": 820}


def test_the_golden_path_by_taps_alone(hands):
    """From the pager to a signed record: only the signing code is typed, and the six core factors take at most 40 taps."""
    hands.begin()
    hands.all_questions()
    hands.judge()
    word = hands.page.locator(".verdict span").first.inner_text()
    hands.choose(word)
    hands.sign()
    hands.finish()
    core = sum(hands.at_screen[screen] for screen in CORE)
    print(f"taps: core {core}, all {hands.taps}")
    assert core <= 40
    assert hands.taps <= 130
    assert hands.page.locator(".paper .word").inner_text() == word


def test_turning_the_tablet_loses_nothing(hands):
    """At each step the answer in the making survives being turned, and so does everything before it."""
    page = hands.page
    page.set_viewport_size(ACROSS)
    hands.begin()
    for screen in ("callout", "place", "submerged", "target", "current"):
        given = RECOVERY[screen]
        if isinstance(given, str):
            hands.keys(given)
        else:
            hands.several(given)
        before = page.evaluate(
            "[...document.querySelectorAll('main input')].map((one) => [one.name, one.value, one.checked])"
        )
        page.set_viewport_size(UPRIGHT)
        page.set_viewport_size(ACROSS)
        assert (
            page.evaluate(
                "[...document.querySelectorAll('main input')].map((one) => [one.name, one.value, one.checked])"
            )
            == before
        )
        hands.next()
        page.wait_for_function("screen => !location.hash.endsWith('/' + screen)", arg=screen)
    typed = page.evaluate(
        "async () => (await import('/static/tablet/context.js')).app.draft.answers['readings.current'].value"
    )
    assert typed == RECOVERY["current"]


def test_keyboard_alone_answers_a_page(hands):
    """Tab, arrows, space and Enter do what a finger does."""
    page = hands.page
    hands.begin()
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    page.keyboard.press("ArrowDown")
    while page.evaluate("document.activeElement.id") != "next":
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    hands.heading("Where is it?")
    given = page.evaluate("async () => (await import('/static/tablet/context.js')).app.draft.answers['task.kind']")
    assert given == "recovery"


def test_a_finger_put_down_by_mistake_can_move_off(hands):
    """Nothing happens on touching, only on letting go in the same place."""
    page = hands.page
    hands.begin()
    box = page.locator("#next").bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.mouse.down()
    page.mouse.move(10, 400)
    page.mouse.up()
    hands.heading("What are you called out for?")
    assert page.locator(".summary").count() == 0


def test_an_open_question_is_said_on_top_and_beside_it(hands):
    """Next without an answer: the same words twice, the focus on the summary, nothing cleared, nothing gone on."""
    page = hands.page
    hands.begin()
    hands.answer("callout", ["Recovery"])
    page.locator("textarea").fill("under the crane")
    hands.next()
    summary = page.locator(".summary li").all_inner_texts()
    assert summary == page.locator("main .error").all_inner_texts()
    assert len(summary) == 2
    assert page.evaluate("document.activeElement.className") == "summary"
    assert page.title().startswith("To do:")
    assert page.locator("textarea").input_value() == "under the crane"
    page.locator(".summary button").first.tap()
    assert page.evaluate("document.activeElement.type") == "radio"


def test_nothing_is_checked_while_typing(hands):
    """A half-typed number is no error until Next."""
    page = hands.page
    hands.begin()
    page.evaluate("location.hash = location.hash.replace('callout', 'current')")
    hands.heading("Current at the work depth")
    page.locator("main input[type=text]").first.fill("1..")
    page.keyboard.press("Tab")
    assert page.locator(".error").count() == 0
    hands.next()
    page.locator(".error").wait_for()
    assert page.locator("main input[type=text]").first.input_value() == "1.."


def test_an_unusual_number_is_read_back_in_words(hands):
    """Six knots is asked about; changing it brings no second question, confirming it goes on."""
    page = hands.page
    hands.begin()
    page.evaluate("location.hash = location.hash.replace('callout', 'current')")
    hands.heading("Current at the work depth")
    hands.keys("6")
    hands.next()
    page.get_by_text("You gave six knots.").wait_for()
    hands.heading("Current at the work depth")
    hands.tap(page.get_by_role("button", name="Yes, 6 kn is right"))
    hands.heading("Visibility under water")


def test_the_wheel_does_not_change_a_number(hands):
    """A scroll over a field is a scroll."""
    page = hands.page
    hands.begin()
    page.evaluate("location.hash = location.hash.replace('callout', 'depth')")
    hands.heading("Depth at the target")
    hands.keys("30")
    field = page.locator("main input[type=text]").first
    assert (field.get_attribute("inputmode"), field.get_attribute("type")) == ("decimal", "text")
    field.hover()
    page.mouse.wheel(0, -300)
    assert field.input_value() == "30"


def test_units_are_switched_beside_the_field(hands):
    """The unit is chosen there, stands beside the number, and goes with it."""
    page = hands.page
    hands.begin()
    page.evaluate("location.hash = location.hash.replace('callout', 'depth')")
    hands.heading("Depth at the target")
    assert page.locator(".number .unit").inner_text() == "feet"
    hands.tap(page.locator(".chip", has_text="metres"))
    assert page.locator(".number .unit").inner_text() == "metres"
    hands.keys("12")
    hands.next()
    hands.heading("Water temperature")
    answer = page.evaluate(
        "async () => (await import('/static/tablet/context.js')).app.draft.answers['readings.depth']"
    )
    assert (answer["value"], answer["unit"], answer["how"]) == ("12", "m", "estimated")


def test_change_leads_back_to_the_check_page(hands, county):
    """From the check page one answer is changed, and the way leads straight back."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    hands.tap(page.get_by_role("link", name="Change What can catch a diver?"))
    hands.heading("What can catch a diver?")
    hands.tap(hands.tile("Severe"))
    hands.next()
    hands.heading("Check your answers")
    assert "Severe" in page.locator(".answer", has_text="What can catch a diver?").inner_text()


def test_what_was_skipped_is_said(hands):
    """An assessment without answers says of each that it is not provided and counts as not known."""
    page = hands.page
    hands.begin()
    page.evaluate("location.hash = location.hash.replace('callout', 'check')")
    hands.heading("Check your answers")
    assert page.get_by_text("Not provided: counts as not known").count() > 30


def test_a_key_on_an_earlier_answer_begins_a_new_number(hands, county):
    """A nine tapped over 0.2 is nine, which is read back, and not 0.29; Delete still edits what is there."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    hands.tap(page.get_by_role("link", name="Change Current at the work depth"))
    hands.heading("Current at the work depth")
    field = page.locator(".number input")
    hands.keys("9")
    assert field.input_value() == "9"
    hands.next()
    page.get_by_text("You gave nine knots.").wait_for()
    hands.tap(page.get_by_role("button", name="Change it"))
    hands.tap(page.get_by_role("button", name="Clear"))
    hands.keys("0.3")
    hands.next()
    hands.heading("Check your answers")
    hands.tap(page.get_by_role("link", name="Change Current at the work depth"))
    hands.heading("Current at the work depth")
    hands.tap(page.get_by_role("button", name="Delete"))
    assert field.input_value() == "0."


def test_a_changed_answer_can_be_taken_back(hands, county):
    """On the next page and among all answers it says what it was; one tap brings that back, time of measuring included."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    before = page.evaluate(
        "async () => (await import('/static/tablet/context.js')).app.draft.answers['readings.current']"
    )
    page.evaluate("location.hash = location.hash.replace('check', 'current')")
    hands.heading("Current at the work depth")
    hands.keys("3")
    hands.next()
    notice = page.locator(".was")
    notice.wait_for()
    assert f"It was: {before['value']} kn" in notice.inner_text()
    page.evaluate("location.hash = location.hash.replace(/[^/]+$/, 'check')")
    hands.heading("Check your answers")
    hands.tap(page.locator(".undo"))
    page.locator(".undo").wait_for(state="detached")
    after = page.evaluate(
        "async () => (await import('/static/tablet/context.js')).app.draft.answers['readings.current']"
    )
    assert after == before
