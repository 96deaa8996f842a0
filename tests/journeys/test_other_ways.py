"""Other hands and eyes: the whole job by keyboard alone, wider letters, and eyes that tell few colours apart."""

import io

import pytest
from PIL import Image

from tests.journeys.test_gloves_and_sun import with_looks
from tests.tablet.answers import answers
from tests.tablet.hands import CODE, ENGINE_MS, RECOVERY
from tests.tablet.walk import pages

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(900)]

MOST_TABS = 120
# What WCAG 2.2 SC 1.4.12 lets a reader set.
SPACED = """() => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync("* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important } p { margin-bottom: 2em !important }");
  document.adoptedStyleSheets = [sheet];
}"""
CUT_OFF = """() => [...document.querySelectorAll("body *")].filter((one) => {
  const style = getComputedStyle(one);
  const hides = ["hidden", "clip"].includes(style.overflowX) || ["hidden", "clip"].includes(style.overflowY);
  const small = one.clientWidth <= 2 || one.closest(".hidden, .skip, .paper, svg");
  return hides && !small && one.innerText?.trim() && (one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 1) && !one.matches("#page, body, html");
}).map((one) => one.outerHTML.slice(0, 120))"""
FIT = """one.textContent.startsWith('Fit, awake up to 8 h')
  && [...document.querySelectorAll('section.person')].indexOf(one.closest('section')) === given[0]"""
COLOURS = ("protanopia", "deuteranopia", "tritanopia", "achromatopsia")


class Keys:
    """A keyboard and nothing else."""

    def __init__(self, page):
        self.page = page

    def to(self, test, *given):
        """Tabs on until what has the focus passes `test`, a function body over `one` and `given`."""
        asked = f"(given) => {{ const one = document.activeElement; return Boolean({test}); }}"
        for _ in range(MOST_TABS):
            if self.page.evaluate(asked, list(given)):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"not reached by {MOST_TABS} tabs: {test} {given}")

    def press(self, key):
        self.page.keyboard.press(key)

    def choose(self, group, label):
        """The radio button that says `label` in the group at this place: reached by tab, moved by arrows."""
        inside = "one.matches('main input[type=radio]') && [...document.querySelectorAll('main fieldset')].indexOf(one.closest('fieldset')) === given[0]"
        self.to(inside, group)
        for _ in range(60):
            said = self.page.evaluate(
                "document.activeElement.closest('label').querySelector('.label').innerText.trim()"
            )
            if said == label:
                return self.press("Space")
            self.press("ArrowDown")
        raise AssertionError(f"no answer {label}")

    def next(self):
        self.to("one.id === 'next'")
        self.press("Enter")


def answer(keys, given):
    if isinstance(given, str):
        keys.to("one.matches('.number input')")
        keys.page.keyboard.type(given)
        return
    for place, label in enumerate(given):
        keys.choose(place, label)


def question(keys, screen, given):
    """One screen of the list, by what it asks for."""
    if screen.startswith("position-"):
        keys.choose(0, given)
        keys.to("one.textContent.startsWith('All three: yes')")
        keys.press("Enter")
    elif screen == "condition":
        people = keys.page.locator("section.person")
        people.first.wait_for()
        for place in range(people.count()):
            keys.to(FIT, place)
            keys.press("Enter")
    elif screen == "vehicle-ready":
        keys.choose(0, "Yes")
        answer(keys, "5")
    else:
        answer(keys, given)
    keys.next()
    keys.page.wait_for_function("screen => !location.hash.endsWith('/' + screen)", arg=screen)
    keys.page.wait_for_function("() => document.activeElement?.matches('main h1')")  # the next page stands


def decide(hands, keys):
    """From the answers over own judgement, decision, plan and choice to the briefing."""
    hands.heading("Check your answers")
    keys.next()
    hands.heading("What would you do?")
    keys.choose(0, "Vehicle first")
    keys.next()
    hands.page.get_by_role("heading", level=1, name="The computed decision").wait_for(timeout=ENGINE_MS)
    keys.next()
    hands.heading("The plan")
    keys.next()
    hands.heading("What is done?")
    keys.choose(0, "Hold")
    keys.next()
    hands.heading("Brief the team")


def test_the_whole_job_by_keyboard_alone(hands):
    """From the start page to the signature: tab, arrows, space, enter and typed digits; no pointer is used."""
    page, keys = hands.page, Keys(hands.page)
    keys.to("one.id === 'new'")
    keys.press("Enter")
    hands.heading("What are you called out for?")
    for screen, given in RECOVERY.items():
        assert hands.screen == screen
        question(keys, screen, given)
    decide(hands, keys)
    keys.next()
    page.locator("#code-field").wait_for()
    keys.to("one.id === 'code-field'")
    page.keyboard.type(CODE)
    keys.next()
    page.locator("#sign-confirm:not([disabled])").wait_for()
    keys.to("one.id === 'sign-confirm'")
    keys.press("Enter")
    page.get_by_role("heading", level=1, name="Signed").wait_for()


def test_wider_letters_and_lines_cut_nothing_off(hands, county):
    """With the spacing that a reader may set, no page grows wider than the screen and no text is cut off."""
    hands.page.set_viewport_size({"width": 1180, "height": 820})
    with_looks(hands)
    hands.page.evaluate(SPACED)
    faults = []
    for name in pages(hands, county):
        hands.page.evaluate(SPACED)
        wide = hands.page.evaluate("document.scrollingElement.scrollWidth - innerWidth")
        faults += [f"{name}: {wide} px wider than the screen"] if wide > 0 else []
        faults += [f"{name}: cut off: {one}" for one in hands.page.evaluate(CUT_OFF)]
    assert not faults, "\n".join(faults)


def luminance(colour):
    part = [c / 255 for c in colour]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in part]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("eyes", COLOURS)
def test_each_decision_can_be_read_by_eyes_that_tell_few_colours_apart(hands, county, context, eyes):
    """Word and shape keep at least 7:1 against their ground in the browser's simulation of four kinds of colour vision."""
    page = hands.page
    hands.begin()
    hands.fill(answers(county))
    hands.next()
    hands.heading("What would you do?")
    context.new_cdp_session(page).send("Emulation.setEmulatedVisionDeficiency", {"type": eyes})
    seen = {}
    for tile in page.locator("main .decisions label .label").all():
        picture = Image.open(io.BytesIO(tile.screenshot())).convert("RGB")
        shades = sorted(luminance(colour) for count, colour in picture.getcolors(1 << 24) if count >= 12)
        seen[tile.inner_text().strip()] = (shades[-1] + 0.05) / (shades[0] + 0.05)
    assert len(seen) == 5
    assert all(contrast >= 7 for contrast in seen.values()), seen
