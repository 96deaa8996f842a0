"""The supervisor judges before the tool does, and cannot quietly be less careful than the tool."""

import pytest

from tests.tablet.answers import answers, reading
from tests.tablet.hands import ENGINE_MS

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

WORDS = ["Divers may enter once the controls are in place", "Vehicle only"]


def words(hands):
    return hands.page.locator("main").inner_text()


def stored(hands, name):
    return hands.page.evaluate("async (name) => (await import('/static/tablet/context.js')).app.draft[name]", name)


def to_judgement(hands):
    hands.next()
    hands.heading("What would you do?")


def decided(hands):
    """Waits until the decision is worked out, which the page then keeps to itself."""
    hands.page.locator("#stops p, #stops section").filter(has_not_text="Working out").first.wait_for(timeout=ENGINE_MS)


def test_nothing_computed_is_shown_before_the_own_judgement(hands, county):
    """The decision exists, and neither word, score, reason nor map of it is on the page."""
    hands.begin()
    hands.fill(answers(county))
    to_judgement(hands)
    decided(hands)
    assert stored(hands, "decision")["decision"]
    text = words(hands)
    assert not any(word in text for word in ("Score", "The rule that decided", "Holds until", "Map"))
    hands.next()
    assert "Choose what you would do" in words(hands)
    assert hands.page.get_by_role("heading", level=1).inner_text() == "What would you do?"


def test_the_address_of_the_decision_leads_to_the_judgement(hands, county):
    """Going there directly changes nothing."""
    hands.begin()
    hands.fill(answers(county))
    hands.page.evaluate("location.hash = location.hash.replace('check', 'decision')")
    hands.heading("What would you do?")
    hands.page.evaluate("location.hash = location.hash.replace('judgement', 'plan')")
    hands.page.wait_for_function("location.hash.endsWith('judgement')")
    hands.heading("What would you do?")


def test_a_stop_is_shown_at_once(hands, county):
    """Nobody has to guess at lightning."""
    hands.begin()
    hands.fill(answers(county, hazards__lightning="yes"))
    to_judgement(hands)
    hands.page.get_by_text("This stops the dive").wait_for(timeout=ENGINE_MS)
    assert "ightning" in words(hands)


def test_both_judgements_are_kept_and_compared(hands, county):
    """Who judged otherwise reads so, and the record holds both."""
    hands.begin()
    hands.fill(answers(county))
    hands.judge("Hold")
    text = words(hands)
    assert "You judged at" in text
    assert "The computed decision differs." in text
    assert stored(hands, "judgement")["decision"] == "hold"


def test_a_judgement_cannot_be_changed_once_the_decision_was_seen(hands, county):
    """Going back shows it, and no tiles."""
    hands.begin()
    hands.fill(answers(county))
    hands.judge("Hold")
    hands.page.get_by_role("link", name="Back").tap()
    hands.heading("What would you do?")
    assert hands.page.locator("main .decisions").count() == 0
    assert 'You judged "Hold" before you saw' in words(hands)


def test_a_decision_never_stands_alone(hands, county):
    """On the same page: the rule, the sum, certainty, margins, map, end, what was not assessed, cautions."""
    hands.begin()
    hands.fill(answers(county, readings__current=reading("0.8", "kn"), hazards__entanglement="light"))
    hands.judge()
    text = words(hands)
    for part in ("The rule that decided", "Score", "How certain", "What would change it", "Map of the decision", "Holds until", "Not assessed here", "Cautions", "Decision aid only"):  # fmt: skip
        assert part in text, part
    points = stored(hands, "decision")["points"]
    shown = [int(cell) for cell in hands.page.locator("tbody .figure").all_inner_texts()]
    assert shown == [one["points"] for one in points]
    assert hands.page.locator("tfoot .figure").inner_text().startswith(str(sum(shown)))


def test_unknown_things_are_named_with_what_was_assumed(hands, county):
    """Not known is taken at its worst, and the page says which."""
    hands.begin()
    hands.fill(answers(county, hazards__contamination="unknown"))
    hands.judge()
    assert "Contamination: not known, taken as extreme" in words(hands)


def test_more_caution_is_free(hands, county):
    """Hold is chosen with two taps and no reason."""
    hands.to_signing(answers(county))
    assert stored(hands, "chosen") == {"decision": "hold", "reason": "", "second_person": None}


def test_less_caution_needs_a_reason_and_a_second_person(hands, county):
    """Each is asked for in turn, and both signatures are then required."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county, task__target="none_located", readings__visibility=reading("3", "ft")))
    hands.judge("Vehicle first")
    hands.past_the_plan()
    hands.tap(hands.decision_tile("Divers may enter"))
    hands.next()
    assert "at least 15 characters" in words(hands)
    page.locator("#reason").fill("too short")
    hands.next()
    assert "at least 15 characters" in words(hands)
    page.locator("#reason").fill("The witness has marked the spot with a float")
    hands.next()
    assert "Name the second person" in words(hands)
    assert page.locator("#second label", has_text="Mara Quill").count() == 0  # a member may not
    hands.tap(page.locator("#second label", has_text="Oskar Lund"))
    hands.next()
    hands.heading("Brief the team")
    hands.tap(page.locator("#gain label", has_text="Somebody brought home"))
    hands.next()
    page.get_by_text("Still needed: decided; agrees to less caution").wait_for()


def test_an_absolute_stop_cannot_be_overridden(hands, county):
    """No reason and no second person opens it."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county, hazards__pressure_difference="uncontrolled"))
    hands.judge("Hold")
    assert any(stop["absolute"] for stop in stored(hands, "decision")["stops"])
    hands.past_the_plan()
    hands.tap(hands.decision_tile("Divers may enter"))
    assert page.locator("#reason").count() == 0
    hands.next()
    assert "cannot be overridden" in words(hands)
    hands.heading("What is done?")


def test_an_engine_that_fails_gives_no_decision(hands, county, console):
    """A fault is shown as 'cannot assess' and never as permission."""
    console.expect("PythonError")
    console.expect("the server responded with a status of")
    hands.begin()
    hands.fill(answers(county))
    hands.page.evaluate("async () => { (await import('/static/tablet/context.js')).app.kit.protocol.document = '{}'; }")
    hands.page.route("**/api/v1/assess/", lambda route: route.fulfill(status=503))
    to_judgement(hands)
    hands.page.get_by_role("heading", name="Cannot assess").wait_for(timeout=ENGINE_MS)
    hands.tap(hands.decision_tile("Divers may enter").first)
    hands.next()
    hands.heading("No decision")
    assert "Nobody may take this for permission" in words(hands)
    assert hands.page.locator("#next").count() == 0


def test_without_python_on_the_device_the_server_decides_and_the_page_says_so(hands, county, console):
    """The fallback is named on the page."""
    console.expect("PythonError")
    hands.begin()
    hands.fill(answers(county))
    answer = hands.page.evaluate(
        """async () => {
          const { app } = await import("/static/tablet/context.js");
          const { situation } = await import("/static/tablet/situation.js");
          const { onDevice } = await import("/static/tablet/engine.js");
          const now = new Date().toISOString();
          const document = situation({ draft: app.draft, screens: app.screens, kit: app.kit, now });
          const { decision } = await onDevice("assess", { situation: JSON.stringify(document), protocol: app.kit.protocol.document, now });
          app.kit.protocol.document = "{}";
          return decision;
        }"""
    )
    hands.page.route("**/api/v1/assess/", lambda route: route.fulfill(json=answer))
    hands.judge()
    assert "Worked out by the server" in words(hands)
