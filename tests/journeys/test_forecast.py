"""At a place with a current station the predicted current is proposed; a measurement wins over it."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.models import CurrentStation
from opsrisk.assessment.offer import offer
from tests.cast import NOON
from tests.tablet.answers import answers
from tests.tablet.hands import ENGINE_MS

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

STATION = json.loads((Path(__file__).parents[2] / "fixtures" / "stations" / "selection.json").read_text())["stations"][
    0
]


@pytest.fixture
def at_the_station(county):
    """The quarry basin has moved to a harbour mouth whose current is published."""
    actions.load_stations(stations=[STATION], by=county.installer, at=NOON)
    county.site.station = CurrentStation.objects.get(pk=STATION["id"])
    county.site.save()
    return county


def to_current(hands, county):
    hands.begin()
    hands.fill(answers(county))
    hands.tap(hands.page.get_by_role("link", name="Change Current at the work depth"))
    hands.heading("Current at the work depth")


def reading(hands):
    return hands.page.evaluate(
        "async () => (await import('/static/tablet/context.js')).app.draft.answers['readings.current']"
    )


def test_the_forecast_is_proposed_and_taken_by_a_tap(at_the_station, hands):
    """Value, bounds and method come with it; the record says forecast; it is what the server's Python computes."""
    to_current(hands, at_the_station)
    box = hands.page.locator(".offer")
    box.wait_for(timeout=ENGINE_MS)
    assert reading(hands)["how"] == "measured"
    hands.tap(box.get_by_role("button"))
    hands.next()
    hands.heading("Check your answers")
    taken = reading(hands)
    expected = offer("current", {}, STATION, datetime.now(UTC))
    assert taken["how"] == "forecast"
    assert abs(float(taken["value"]) - float(expected["value"])) <= 0.2
    assert float(taken["low"]) <= float(taken["value"]) <= float(taken["high"])
    assert bool(taken.get("window")) == bool(expected.get("window"))


def test_a_measurement_typed_over_it_is_a_measurement(at_the_station, hands):
    """Typing a number throws the forecast's window away; the method is what the person says."""
    to_current(hands, at_the_station)
    hands.page.locator(".offer").get_by_role("button").tap(timeout=ENGINE_MS)
    hands.keys("0.3")
    hands.tap(hands.page.locator(".chip", has_text="Measured"))
    for name in ("low", "high"):
        hands.page.locator(f"#q-readings-current-{name}").fill("")
    hands.next()
    hands.heading("Check your answers")
    typed = reading(hands)
    assert (typed["value"], typed["how"]) == ("0.3", "measured")
    assert "window" not in typed and "low" not in typed


def test_a_place_without_a_station_proposes_no_current(county, hands):
    """And the daylight of a known place is proposed."""
    to_current(hands, county)
    hands.page.wait_for_timeout(1500)
    assert hands.page.locator(".offer").count() == 0
    hands.page.evaluate("location.hash = location.hash.replace('current', 'daylight')")
    hands.page.locator(".offer").wait_for(timeout=ENGINE_MS)
    assert "minutes of daylight and twilight left" in hands.page.locator(".offer").inner_text()
