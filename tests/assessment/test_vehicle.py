"""What the vehicle can do here, from what is stated and what is computed; what is not known it cannot do."""

from dataclasses import replace

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.computed import facts_of
from opsrisk.engine.inputs import INPUTS
from opsrisk.protocols.shipped import baseline
from opsrisk.reference.units import from_si, to_si
from tests.situations import situation

LIMIT, REACH = "computed.vehicle_current_limit", "computed.vehicle_reach"
TETHER = {
    "vehicle.thrust": "200 N", "vehicle.drag_area": "0.1 m2", "vehicle.tether_diameter": "8 mm", "vehicle.tether_length": "50 m",
}  # fmt: skip


def facts(vehicle="working", **given):
    return facts_of(situation("black harbour", vehicle, **given), baseline())


def limit_kn(vehicle="working", **given):
    return float(from_si(facts(vehicle, **given)[LIMIT].value, "kn", 2))


def test_the_lesser_of_stated_and_computed_limit_counts():
    """A maker's figure does not know this tether; a computation does not know the maker's reason."""
    computed = limit_kn(**TETHER, **{"vehicle.current_limit": "unknown"})

    assert 0.5 < computed < 2.5
    assert limit_kn(**TETHER, **{"vehicle.current_limit": "0.3 kn"}) == 0.3
    assert limit_kn(**TETHER, **{"vehicle.current_limit": "9 kn"}) == computed


def test_a_stated_limit_is_enough():
    """Where the maker or the agency states one, thrust and drag need not be known."""
    assert limit_kn() == 2.0


@pytest.mark.parametrize("part", TETHER)
def test_without_every_part_and_without_a_stated_limit_it_holds_nowhere(part):
    """An unknown thrust is no thrust."""
    found = facts(**(TETHER | {"vehicle.current_limit": "unknown", part: "unknown"}))

    assert found[LIMIT].state == "unknown"
    assert found[LIMIT].value == INPUTS[LIMIT].lowest == 0


def test_more_tether_out_holds_less():
    """What is not out does not pull; where nobody says, all of it may be out."""
    unstated = {"vehicle.current_limit": "unknown"}
    short = limit_kn(**TETHER, **unstated, **{"vehicle.tether_out": "15 m"})

    assert short > limit_kn(**TETHER, **unstated)
    assert limit_kn(**TETHER, **unstated, **{"vehicle.tether_out": "500 m"}) == limit_kn(**TETHER, **unstated)


def test_salt_water_pulls_harder_than_fresh_and_unknown_water_as_salt():
    """Heavier water, more load."""
    unstated = {"vehicle.current_limit": "unknown"}
    fresh, salt, unknown = (
        facts(**TETHER, **unstated, **{"site.water": water})[LIMIT].value for water in ("fresh", "salt", "unknown")
    )

    assert salt < fresh
    assert unknown == salt


def test_an_unknown_depth_leaves_the_computed_limit_unknown():
    """The line hangs to a depth that nobody knows."""
    found = facts(**(TETHER | {"vehicle.current_limit": "unknown", "readings.depth": "unknown"}))

    assert found[LIMIT].state == "unknown"


def test_the_limit_is_taken_at_the_deeper_end_of_the_depth():
    """A depth that may be more than the tether reaches leaves no limit to rely on."""
    sure = situation("black harbour", "working", **TETHER, **{"vehicle.current_limit": "unknown"})
    depth = {"value": "25", "high": "160", "unit": "ft"}
    unsure = replace(sure, document=sure.document | {"readings": sure.document["readings"] | {"depth": depth}})

    assert facts_of(sure, baseline())[LIMIT].value > 0
    assert facts_of(unsure, baseline())[LIMIT].value == 0


def test_a_kit_outside_the_computation_holds_nowhere():
    """Ten square metres of drag on a millimetre of wire has no answer: it counts as unable."""
    assert limit_kn(**(TETHER | {"vehicle.current_limit": "unknown", "vehicle.drag_area": "90 m2"})) == 0


def test_the_limit_is_rounded_down_to_what_two_machines_agree_on():
    """Hundredths of a metre a second."""
    value = facts(**TETHER, **{"vehicle.current_limit": "unknown"})[LIMIT].value

    assert value == round(value, 2)


def test_the_tether_reaches_with_slack_to_spare():
    """130 ft of tether reach 100 ft deep at a ratio of 1.3."""
    found = facts(**{"vehicle.tether_length": "130 ft"})[REACH]

    assert found.value == pytest.approx(to_si("100", "ft"), abs=1e-9)


def test_no_vehicle_is_not_an_unknown_one():
    """A team without one is asked nothing about it."""
    found = facts("none in the kit")
    decision = assess(situation("black harbour"), baseline())

    assert found["vehicle.owned"].value == 0
    assert {fact.state for name, fact in found.items() if "vehicle" in name} == {"given", "not_applicable"}
    assert not [each for each in decision["assumed"] if "vehicle" in each["input"]]


@pytest.mark.parametrize("vehicle", ["nobody says"])
def test_a_vehicle_that_nobody_mentions_is_considered_both_ways(vehicle):
    """With one that nobody knows to work, and without any."""
    found = facts(vehicle)

    assert found["vehicle.owned"].open == (0, 1)
    assert found["vehicle.available"].state == "unknown"


def test_a_missing_vehicle_entry_is_an_unknown_one():
    """Leaving it out says nothing; null says that there is none."""
    made = situation("black harbour")
    left_out = {name: value for name, value in made.document.items() if name != "vehicle"}

    assert facts_of(replace(made, document=left_out), baseline())["vehicle.owned"].open == (0, 1)


def test_the_controls_of_a_vehicle_that_cannot_work_are_not_asked_for():
    """In a rescue divers go without waiting; nobody can keep a broken vehicle at its standoff."""
    for vehicle, asked in (("working", True), ("left at the station", False)):
        controls = {each["serves"] for each in assess(situation("drowning", vehicle), baseline())["controls"]}
        assert ("vehicle" in controls) is asked
        assert "divers" in controls
