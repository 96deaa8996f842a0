"""Answers of the plan become plan inputs that the computations take; what is not whole is left out, not guessed."""

import pytest

from opsrisk.agencies.sonar_modes import from_lines
from opsrisk.assessment.planning.asks import plan_asks
from opsrisk.assessment.planning.inputs import read_plan_inputs
from tests.assessment.computing import EXAMPLES

pytestmark = [pytest.mark.browser, pytest.mark.in_the_page]

INPUTS_OF = """async ([asks, draft, kit]) => {
  const { app } = await import("/tablet/context.js");
  Object.assign(app, { kit, agency: { units: "us" } });
  return (await import("/tablet/plan_work.js")).planInputs(draft, asks);
}"""
STATION = EXAMPLES["station_windows"]["station"]
KIT = {
    "sites": [{"id": "inlet", "station": STATION["id"]}], "stations": {STATION["id"]: STATION},
    "vehicles": [{"id": "otter", "imaging_sonar": True, "sonar_modes": from_lines("overview, 1200, 20, 0.25, 30")}],
}  # fmt: skip


def amount(value, unit, **more):
    return {"value": value, "unit": unit, "typed": value} | more


def inputs_of(page, answers=None, named=(), vehicle="otter", site="inlet"):
    draft = {
        "operation": {"site": site}, "answers": {"vehicle": {"vehicle": vehicle}},
        "plan": {"answers": answers or {}, "typing": {}, "named": list(named)},
    }  # fmt: skip
    found = page.evaluate(INPUTS_OF, [plan_asks(), draft, KIT])
    read_plan_inputs(found)
    return found


def test_the_kit_gives_station_and_modes(bare_page):
    """Of the place and the vehicle that were chosen, and of no other."""
    found = inputs_of(bare_page)
    assert found["station_windows"]["station"]["id"] == STATION["id"]
    assert found["sonar_look"]["modes"][0]["name"] == "overview"
    assert set(inputs_of(bare_page, vehicle=None, site=None)) == {"format", "units"}


def test_every_kind_of_answer_is_taken(bare_page):
    """Quantities with and without bounds, plain numbers, choices, times, lists, and not known."""
    at = "2026-11-25T09:30:00-05:00"
    answers = {
        "search_effort.length": amount("200", "ft"), "search_effort.chance": amount("0.9", ""),
        "search_effort.law": "ideal", "turn_pressure.pressure": "unknown",
        "search_area.surface_time": amount("5", "min", low="2", high="9"), "river_windows.until": {"at": at},
        "table_windows.turns": [
            {"at": {"at": at}, "stream": "slack"}, {"at": {"at": at}, "stream": "flood", "speed": amount("2", "kn")},
        ],
    }  # fmt: skip
    found = inputs_of(bare_page, answers)
    assert found["search_effort"] == {"length": {"value": "200", "unit": "ft"}, "chance": "0.9", "law": "ideal"}
    assert found["search_area"]["surface_time"] == {"value": "5", "unit": "min", "low": "2", "high": "9"}
    assert found["turn_pressure"] == {"pressure": "unknown"}
    assert found["river_windows"] == {"until": at}
    assert [row["stream"] for row in found["table_windows"]["turns"]] == ["slack", "flood"]


def test_a_list_that_is_not_whole_is_left_out(bare_page):
    """Too few lines, or a line without what it needs: then the plan says that it is missing."""
    short = [{"distance": amount("0", "ft"), "depth": amount("18", "ft")}]
    for rows in (short, [*short, {"distance": amount("40", "ft")}]):
        found = inputs_of(bare_page, {"sonar_look.bottom": rows})
        assert "bottom" not in found["sonar_look"]


def test_a_subject_that_was_asked_for_is_named(bare_page):
    """Without any answer yet, so that the plan can say what it needs."""
    assert inputs_of(bare_page, named=["lift"])["lift"] == {}


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("0705", [7, 5]),
        ("07:05", [7, 5]),
        ("7.05", [7, 5]),
        ("2359", [23, 59]),
        ("2400", None),
        ("0760", None),
        ("7", None),
        ("", None),
    ],
)
def test_a_time_is_read_in_one_way_or_not_at_all(module, text, read):
    """Four digits on the 24-hour clock."""
    assert module("field_clock.js", "readClock", text) == read
