"""The plan on the tablet with the network cut: numbers, what they rest on, and what was missing, by taps alone."""

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.models import CurrentStation
from opsrisk.agencies.sonar_modes import from_lines
from tests.assessment.computing import EXAMPLES
from tests.cast import NOON
from tests.tablet.answers import answers, reading
from tests.tablet.hands import ENGINE_MS

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

# What the team has told the plan before; the length is asked for in the test.
SEARCH = {
    "search_effort.width": ("60", "ft"), "search_effort.vehicle_speed": ("0.5", "kn"),
    "search_effort.vehicle_sweep": ("20", "ft"), "search_effort.diver_speed": ("0.2", "kn"),
    "search_effort.diver_sweep": ("3", "ft"),
}  # fmt: skip
TELL = """async (told) => Object.assign((await import("/static/tablet/context.js")).app.draft.plan.answers, told)"""


@pytest.fixture
def inlet(county):
    """The site has a current station, the vehicle's sonar its modes."""
    actions.load_stations(stations=[EXAMPLES["station_windows"]["station"]], by=None, at=NOON)
    county.site.station = CurrentStation.objects.get()
    county.site.save()
    county.vehicle.sonar_modes = from_lines("overview, 1200, 20, 0.25, 30, 0.5")
    county.vehicle.save()
    return county


def to_the_plan(hands, county, context):
    hands.open()
    hands.begin()
    hands.fill(answers(county, readings__current=reading("0.2", "kn"), task__target="contact"))
    told = {field: {"value": value, "unit": unit, "typed": value} for field, (value, unit) in SEARCH.items()}
    hands.page.evaluate(TELL, told)
    hands.judge("Vehicle first")
    context.set_offline(True)
    hands.next()
    hands.heading("The plan")
    hands.page.get_by_role("heading", name="Missing").wait_for(timeout=ENGINE_MS)


def tell_the_length(hands):
    """An impossible length is refused with its range in words; the next one is taken."""
    item = hands.page.locator(".plan-list li", has=hands.page.get_by_text("Search effort"))
    hands.tap(item.get_by_role("link", name="Answer"))
    hands.heading("Length of the area")
    hands.keys("0")
    hands.next()
    hands.page.get_by_text("Give a number from 3.2809 to 16404.1994 feet").first.wait_for()
    hands.tap(hands.page.get_by_role("button", name="Clear"))
    hands.keys("200")
    hands.next()
    hands.heading("Search effort")


def test_the_plan_by_taps_with_no_network(inlet, hands, context, picture):
    """A missing input is asked on its page, each number opens, and the record carries inputs and answer."""
    page = hands.page
    to_the_plan(hands, inlet, context)
    picture("plan")
    tell_the_length(hands)
    page.locator(".drawing svg").wait_for()
    picture("search")
    headline = page.locator("main .critical").first.inner_text()
    shown = page.locator("main").inner_text()
    for words in ("Diver-minutes that the vehicle saves", "Worked out from", "Method:", "Sources:"):
        assert words in shown
    hands.tap(page.get_by_role("link", name="Back"))
    hands.heading("The plan")
    hands.tap(page.locator(".number-link").first)
    page.locator(".drawing svg").wait_for()
    picture("window")
    page.go_back()
    hands.heading("The plan")
    hands.tap(page.get_by_role("link", name="Back"))
    hands.heading("The computed decision")
    page.get_by_text("diver-minutes under water are saved").wait_for()
    picture("decision")
    hands.choose("Hold")
    record = page.evaluate("async () => (await import('/static/tablet/context.js')).app.draft.record")
    assert record["plan"]["inputs"]["search_effort"]["length"] == {"value": "200", "unit": "ft"}
    assert headline in [one["headline"] for one in record["plan"]["answer"]["numbers"]]
