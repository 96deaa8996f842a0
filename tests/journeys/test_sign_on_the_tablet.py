"""Signing is two deliberate taps in two places, by the right person, over what stands on the page."""

import pytest

from tests.tablet.answers import answers
from tests.tablet.hands import CODE

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

SIGNATURES = "async () => (await import('/static/tablet/context.js')).app.draft.signatures"


def test_two_taps_apart_in_place_and_time(hands, county):
    """At least 100 px and half a second between them; the second says what it does; a double tap signs nothing."""
    page = hands.page
    hands.to_signing(answers(county))
    page.locator("#code-field").fill(CODE)
    first = page.locator("#next").bounding_box()
    page.locator("#next").dblclick()
    confirm = page.locator("#sign-confirm")
    confirm.wait_for()
    assert confirm.is_disabled()
    assert page.evaluate(SIGNATURES) == []
    second = confirm.bounding_box()
    apart = max(second["x"] - (first["x"] + first["width"]), first["x"] - (second["x"] + second["width"]),
                second["y"] - (first["y"] + first["height"]), first["y"] - (second["y"] + second["height"]))  # fmt: skip
    centres = ((first["x"] + first["width"] / 2 - second["x"] - second["width"] / 2) ** 2
               + (first["y"] + first["height"] / 2 - second["y"] - second["height"] / 2) ** 2) ** 0.5  # fmt: skip
    assert apart > 0 and centres >= 100
    assert confirm.inner_text() == 'Sign "Hold" for Quarry basin'
    page.wait_for_timeout(550)
    assert confirm.is_enabled()
    hands.tap(confirm)
    hands.heading("Signed")
    assert "Signed on this device, awaiting server" in page.locator("main").inner_text()
    assert "Ines Varga, dive supervisor: decided, today " in page.locator("main").inner_text()


def test_what_is_signed_stands_on_the_page(hands, county):
    """Decision, place, end, people in the water, controls left open, and the record's digest."""
    hands.to_signing(answers(county))
    text = hands.page.locator(".signed-over").inner_text()
    digest = hands.page.evaluate("async () => (await import('/static/tablet/context.js')).app.draft.digest")
    for words in ("Hold", "Quarry basin", "Holds until", "Mara Quill", "Oskar Lund", digest[:12]):
        assert words in text, words


def test_a_wrong_code_signs_nothing(hands, county):
    """The page says whose code it is not; the right one then signs."""
    page = hands.page
    hands.to_signing(answers(county))
    hands.sign("not the code")
    page.locator(".summary").wait_for()
    assert "That is not the signing code of Ines Varga" in page.locator(".summary").inner_text()
    assert page.evaluate(SIGNATURES) == []
    hands.sign()
    hands.heading("Signed")


def test_only_who_may_decide_signs_as_the_one_who_decided(hands, county):
    """Members are not offered; they can sign as briefed."""
    page = hands.page
    hands.to_signing(answers(county))
    assert page.locator("#signer label", has_text="Mara Quill").count() == 0
    hands.tap(page.locator(".chip", has_text="was briefed"))
    assert page.locator("#signer label", has_text="Mara Quill").count() == 1


def test_a_record_that_changed_behind_the_page_is_not_signed(hands, county):
    """What stands on the page is what is signed: a changed byte is found before the key is used."""
    page = hands.page
    hands.to_signing(answers(county))
    page.evaluate(
        "async () => { (await import('/static/tablet/context.js')).app.draft.record.chosen.decision = 'divers'; }"
    )
    hands.sign()
    page.locator(".summary").wait_for()
    assert "The record has changed since it was shown" in page.locator(".summary").inner_text()
    assert page.evaluate(SIGNATURES) == []


def test_a_decision_that_no_longer_holds_cannot_be_signed(hands, county):
    """Past its end the page asks for new readings."""
    page = hands.page
    hands.to_signing(answers(county))
    page.evaluate(
        "async () => { (await import('/static/tablet/context.js')).app.draft.decision.valid_until = '2020-01-01T00:00:00+00:00'; }"
    )
    page.get_by_role("link", name="Back").tap()
    hands.heading("Brief the team")
    hands.next()
    hands.heading("The decision no longer holds")
    assert page.locator("#code-field").count() == 0


def test_the_code_can_be_pasted_and_shown(hands, county):
    """No puzzle: managers and the clipboard work, and what was typed can be looked at."""
    page = hands.page
    hands.to_signing(answers(county))
    field = page.locator("#code-field")
    field.focus()
    page.keyboard.insert_text(CODE)
    assert field.input_value() == CODE
    hands.tap(page.get_by_role("button", name="Show"))
    assert field.get_attribute("type") == "text"
