"""The plan's page on a tablet-size screen: pictures under the content policy, nothing for axe, nothing too wide."""

import json

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.models import CurrentStation
from tests.assessment.computing import EXAMPLES, q
from tests.assessment.planned import INPUTS, SITUATION, changed
from tests.cast import NOON
from tests.house.reading import ROOT
from tests.operations.sending import adopt_baseline, planned, record, send, sign
from tests.operations.sending import body as sent

pytestmark = [pytest.mark.browser, pytest.mark.timeout(300), pytest.mark.django_db(transaction=True)]

AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
ASK_AXE = "async () => (await axe.run(document)).violations.map(({ id, nodes }) => [id, nodes[0].html.slice(0, 160)])"
AT_NOON = {
    "assessed_at": NOON.isoformat(),
    "task__submerged_at": None,
    **{f"readings__{name}__at": NOON.isoformat() for name in SITUATION["readings"]},
}


@pytest.fixture
def plan_page(live_server, cast, as_person, page, context):
    """A signed-in supervisor at the plan of the inlet, everything known."""
    adopt_baseline(cast)
    actions.load_stations(stations=[EXAMPLES["station_windows"]["station"]], by=None, at=NOON)
    cast.site.station = CurrentStation.objects.get()
    cast.site.save()
    made = record(cast, changed(SITUATION, AT_NOON))
    carried = {name: part for name, part in INPUTS.items() if name != "units"}
    carried["station_windows"] = {"limit": q(1.6, "kn"), "divers": "2"}
    made["plan"] = planned(made["situation"], carried)
    answer = send(cast, sent(made, sign(made, cast.supervisor)))
    assert answer.status == 201, answer.response
    operation = json.loads(answer.response)["operation"]
    session = as_person(cast.supervisor).cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": live_server.url}])
    page.add_init_script(path=AXE)
    page.goto(f"/operations/{operation}/plan/")
    return page


def test_every_number_opens_into_its_picture_and_sources(plan_page, picture):
    """Drawn inside the page under its content policy; the browser complains of nothing."""
    plan_page.set_viewport_size({"width": 1180, "height": 820})
    details = plan_page.locator("details.subject")
    assert details.count() > 8
    for place in range(details.count()):
        one = details.nth(place)
        if one.get_attribute("open") is None:
            one.locator("summary").click()
        assert one.get_by_text("Method", exact=True).is_visible()
    drawings = plan_page.locator("details.subject svg")
    assert drawings.count() >= 3
    for place in range(drawings.count()):
        box = drawings.nth(place).bounding_box()
        assert box["width"] > 400 and box["height"] > 200
    picture("open")


@pytest.mark.parametrize("size", [(1180, 820), (820, 1180), (320, 700)])
def test_no_rule_of_axe_and_no_sideways_scrolling(plan_page, size):
    """Closed and open, across, upright and magnified."""
    plan_page.set_viewport_size({"width": size[0], "height": size[1]})
    for opened in (False, True):
        if opened:
            plan_page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        assert plan_page.evaluate(ASK_AXE) == []
        assert plan_page.evaluate("document.scrollingElement.scrollWidth - innerWidth") <= 0


def test_targets_are_large_enough(plan_page):
    """Every line that opens, every field and button is 44 px high or more."""
    heights = plan_page.evaluate(
        "[...document.querySelectorAll('main summary, main input, main select, main button, main textarea')]"
        ".map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height])"
    )
    assert len(heights) > 8
    assert not [one for one in heights if one[1] < 44]
