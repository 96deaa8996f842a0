"""The tablet in Spanish with a decimal comma: every word said, and nothing smaller, wider or paler for it."""

import json
from datetime import UTC, datetime

import pytest

from tests.journeys.test_gloves_and_sun import SIZES, broken_rules, pale_or_small, too_small_or_wide, with_looks
from tests.tablet.answers import answers
from tests.tablet.walk import pages

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(600)]

UNSAID = """async () => {
  const { missing } = await import("/static/tablet/speaking.js");
  const seen = [...document.querySelectorAll("body [lang=en]")].filter((one) => !one.closest("[translate=no]") && one.getClientRects().length);
  return [...missing(), ...seen.map((one) => one.textContent)];
}"""


def unsaid(hands) -> list[str]:
    """What stands in English on the page, and what the reader has ever looked for in vain."""
    return hands.page.evaluate(UNSAID)


@pytest.mark.parametrize("size", ["across", "magnified"])
def test_every_page_is_said_and_fits(spanish, county, picture, size):
    """No visible text or accessible name is English, but for names, typed words, codes and citations; targets, gaps and reflow hold with the longer words."""
    width, height = SIZES[size]
    spanish.page.set_viewport_size({"width": width, "height": height})
    hands, found, faults = with_looks(spanish), {}, []
    for name in pages(hands, county):
        picture(name.replace(" ", "-"))
        for words in unsaid(hands):
            found.setdefault(words, name)
        faults += [f"{name}: {fault}" for fault in too_small_or_wide(hands)]
    assert not found, json.dumps(found, indent=1, ensure_ascii=False)
    assert not faults, "\n".join(faults)


def test_no_page_breaks_a_rule_of_axe_or_the_sun(spanish, county, picture):
    """axe-core finds nothing, the page says which language it is in, and contrast and sizes hold, at night."""
    hands = with_looks(spanish)
    hands.tap(hands.page.get_by_role("link", name=hands.say("Night colours")))
    hands.page.locator("html[data-theme=night] #page:not([inert])").wait_for()
    faults = []
    for name in pages(hands, county):
        picture(name.replace(" ", "-"))
        assert hands.page.evaluate("document.documentElement.lang") == "es"
        faults += [f"{name}: {one}" for one in (*broken_rules(hands), *pale_or_small(hands))]
    assert not faults, "\n".join(faults)


MADE = """async (now) => {
  const names = ["context", "situation", "engine", "plan_work", "record", "canonical"];
  const [{ app }, { situation }, { assess }, { planToSign }, { buildRecord }, { digest }] =
    await Promise.all(names.map((name) => import(`/static/tablet/${name}.js`)));
  const draft = structuredClone(app.draft);
  draft.situation = situation({ draft, screens: app.screens, kit: app.kit, now });
  draft.decision = (await assess({ situation: draft.situation, protocol: app.kit.protocol.document, now, csrf: "" })).decision;
  const plan = await planToSign(draft);
  const record = buildRecord({ draft, situation: draft.situation, plan, device: { id: app.device, client_version: app.version, offset_s: 0 }, now });
  return [await digest(record), record.decision.digest, Boolean(plan), document.documentElement.lang];
}"""


def test_the_record_is_the_same_in_every_language(spanish, county):
    """What is signed does not depend on the language or the decimal sign of the screen: record and decision have one digest."""
    page, hands = spanish.page, spanish
    hands.begin()
    hands.fill(answers(county, task__kind="recovery", hazards__entanglement="moderate"))
    hands.judge()
    now = datetime.now(UTC).isoformat(timespec="seconds")
    in_spanish = page.evaluate(MADE, now)
    page.evaluate("import('/static/tablet/languages.js').then(({ chooseLanguage }) => chooseLanguage('en'))")
    in_english = page.evaluate(MADE, now)
    assert in_spanish[2] and [in_spanish.pop(), in_english.pop()] == ["es", "en"]
    assert in_spanish == in_english


def test_two_taps_change_the_language_and_it_stays(hands):
    """From any page: to the start, then the other language by its own name, large enough for a glove; kept over a restart, and nothing that was answered is lost."""
    page = hands.page
    hands.begin()
    hands.tap(hands.tile("Recovery"))
    hands.next()
    hands.saved()
    before = hands.taps
    hands.tap(page.get_by_role("link", name="Start", exact=True))
    switch = page.get_by_role("link", name="Español", exact=True)
    assert switch.get_attribute("lang") == "es"
    hands.tap(switch)
    page.get_by_role("button", name="Nueva evaluación").wait_for()
    assert hands.taps - before == 2
    page.reload()
    page.get_by_role("button", name="Nueva evaluación").wait_for()
    assert page.evaluate("document.documentElement.lang") == "es"
    assert page.title() == "Tarrow County Dive Rescue · OpsRisk"
    hands.tap(page.get_by_role("link", name="Continuar"))
    page.get_by_role("heading", level=1, name="¿Dónde es?").wait_for()
    hands.tap(page.get_by_role("link", name="Inicio", exact=True))
    hands.tap(page.get_by_role("link", name="English", exact=True))
    switch.wait_for()
    assert not page.locator("[lang=en]:not(html)").count()


def test_an_agencys_own_words_are_shown_and_marked(spanish, county):
    """A text of an agency's protocol that the catalogue lacks stands as it was written, marked as English; nothing is half said."""
    hands, page = spanish, spanish.page
    own = "No entry from the old slipway while the ferry is in"
    page.evaluate(
        "own => import('/static/tablet/context.js').then(({ app }) => { app.cautions = [own]; location.hash = '#/operations'; })",
        own,
    )
    hands.heading("Operations under way")
    page.evaluate("location.hash = '#/'")
    line = page.get_by_text(own, exact=True)
    line.wait_for()
    assert line.get_attribute("lang") == "en"
    assert unsaid(hands) == [own, own]


def test_a_comma_is_typed_where_the_agency_writes_one(spanish):
    """The keypad has the agency's sign, the field shows it, and what is kept is the same decimal string as everywhere."""
    hands, page = spanish, spanish.page
    hands.begin()
    page.evaluate("location.hash = location.hash.replace('callout', 'current')")
    hands.heading("Current at the work depth")
    hands.keys("0.7")
    assert page.locator(".number input").input_value() == "0,7"
    hands.next()
    hands.saved()
    kept = page.evaluate("import('/static/tablet/context.js').then(({ app }) => app.draft.answers['readings.current'])")
    assert (kept["value"], kept["typed"]) == ("0.7", "0,7")
