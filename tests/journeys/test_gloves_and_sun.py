"""Large enough for a glove, dark enough for the sun, in order for a screen reader, on every page."""

import json
from pathlib import Path

import pytest

from tests.tablet.walk import pages

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page, pytest.mark.timeout(600)]

HERE = Path(__file__).parent
LOOKS = HERE.parent / "tablet" / "looks.js"
AXE = HERE.parents[1] / "node_modules" / "axe-core" / "axe.min.js"
SIZES = {"across": (1180, 820), "upright": (820, 1180), "magnified": (320, 700)}
MOST_CONTRAST = 15


def with_looks(hands):
    """The measuring script runs in the page although the page allows no script but its own."""
    hands.page.add_init_script(path=LOOKS)
    hands.page.add_init_script(path=AXE)
    hands.open()
    return hands


def measured(hands, what):
    return hands.page.evaluate("what => window.looks[what]()", what)


def too_small_or_wide(hands):
    """What a glove would miss on the page, and what runs out of it sideways."""
    for one in measured(hands, "sizes"):
        least = 128 if one["primary"] else 60
        if min(one["width"], one["height"]) < least - 0.5:
            yield one
    yield from (near for near in measured(hands, "gaps") if near["gap"] < 25.5)
    wide = hands.page.evaluate("document.scrollingElement.scrollWidth - innerWidth")
    if wide > 0:
        yield f"{wide} px wider than the screen"


def broken_rules(hands):
    """What axe-core finds on the page."""
    found = hands.page.evaluate(
        "async () => (await axe.run(document)).violations.map(({ id, nodes }) => [id, nodes.slice(0, 3).map((node) => node.html.slice(0, 160))])"
    )
    return [json.dumps(one) for one in found]


def pale_or_small(hands):
    """Texts whose contrast, size or weight is not enough for the sun."""
    for one in measured(hands, "texts"):
        contrast, size = (15, 28) if one["critical"] and not one["paper"] else (7, 16 if one["paper"] else 18)
        if (
            one["contrast"] < contrast
            or one["size"] < size
            or (one["critical"] and one["weight"] < 700 and not one["paper"])
        ):
            yield one


@pytest.mark.parametrize("size", ["upright", "magnified"])
def test_targets_gaps_and_reflow(hands, county, size):
    """Primary controls 128 px with 26 px between them, all others 60 px, and never a page wider than the screen."""
    width, height = SIZES[size]
    hands.page.set_viewport_size({"width": width, "height": height})
    with_looks(hands)
    faults = [f"{name}: {fault}" for name in pages(hands, county) for fault in too_small_or_wide(hands)]
    assert not faults, "\n".join(faults)


def test_across_by_day(hands, county, picture):
    """As above; every text at least 7:1 and 18 px, what life hangs on 15:1, 28 px and bold; axe-core (WCAG 2.2 A, AA, best practices) finds nothing."""
    hands.page.set_viewport_size(dict(zip(("width", "height"), SIZES["across"], strict=True)))
    with_looks(hands)
    assert hands.page.evaluate("document.documentElement.dataset.theme") == "day"
    faults = []
    for name in pages(hands, county):
        picture(name.replace(" ", "-"))
        found = (*too_small_or_wide(hands), *pale_or_small(hands), *broken_rules(hands))
        faults += [f"{name}: {one}" for one in found]
    assert not faults, "\n".join(faults)


def test_across_at_night(hands, county, picture):
    """The same contrast in night colours, which stay when the page is opened again."""
    hands.page.set_viewport_size(dict(zip(("width", "height"), SIZES["across"], strict=True)))
    with_looks(hands)
    hands.tap(hands.page.get_by_role("link", name="Night colours"))
    hands.page.locator("html[data-theme=night]").wait_for()
    faults = []
    for name in pages(hands, county):
        picture(name.replace(" ", "-"))
        faults += [f"{name}: {one}" for one in pale_or_small(hands)]
    assert not faults, "\n".join(faults)
    hands.open()
    assert hands.page.evaluate("document.documentElement.dataset.theme") == "night"


def test_no_status_is_told_by_colour_alone(hands, county):
    """Each decision has its own word and its own shape, and what is chosen carries a mark."""
    with_looks(hands)
    hands.begin()
    from tests.tablet.answers import answers

    hands.fill(answers(county))
    hands.next()
    hands.heading("What would you do?")
    shapes = hands.page.evaluate("[...document.querySelectorAll('main .decisions .shape')].map((one) => one.innerHTML)")
    words = hands.page.locator("main .decisions .label span").all_inner_texts()
    assert len(set(shapes)) == len(set(words)) == 5
    tile = hands.decision_tile("Vehicle first")
    before = tile.evaluate("one => getComputedStyle(one.querySelector('.mark'), '::after').content")
    hands.tap(tile)
    assert before == "none"
    assert tile.evaluate("one => getComputedStyle(one.querySelector('.mark'), '::after').content") == '""'


def test_a_focused_control_is_never_covered(hands):
    """Tabbing through a long page: what has the focus lies between the bars."""
    page = hands.page
    page.set_viewport_size({"width": 1180, "height": 820})
    hands.begin()
    page.evaluate("location.hash = location.hash.replace('callout', 'position-diver')")
    hands.heading("Diver")
    for _ in range(40):
        page.keyboard.press("Tab")
        covered = page.evaluate("""() => {
          const one = document.activeElement;
          if (!one || one === document.body) return "";
          const box = (one.closest(".tile, .chip") ?? one).getBoundingClientRect();
          const over = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
          return over && (over.contains(one) || one.contains(over) || over.closest(".tile, .chip")?.contains(one)) ? "" : one.outerHTML.slice(0, 90);
        }""")
        assert covered == ""


def test_status_is_announced_without_moving_the_focus(hands):
    """What is saved and what is sent stand in live regions; the focus stays where it was."""
    page = hands.page
    hands.begin()
    assert page.locator("#kept").get_attribute("role") == "status"
    assert page.locator("#sent").get_attribute("role") == "status"
    page.locator("main input").first.focus()
    page.keyboard.press("Space")
    hands.saved()
    assert page.evaluate("document.activeElement.matches('main input')")
