"""Everything worth saying is said once, by a stable id and in words, also where it did not decide."""

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.engine.inputs import FLAGS
from opsrisk.protocols.shipped import baseline
from tests.situations import situation


def decision(base="still quarry", vehicle="none in the kit", **given):
    return assess(situation(base, vehicle, **given), baseline())


def test_a_fair_training_raises_only_that_nothing_is_gained():
    """No warning that has nothing to warn of; the optional answers left out are named elsewhere."""
    assert decision()["flags"] == ["no_gain"]


@pytest.mark.parametrize(
    ("flag", "given"),
    [
        ("low_visibility", {"readings.visibility": "4.9 ft"}),
        ("entanglement", {"hazards.entanglement": "light"}),
        ("overhead", {"hazards.overhead": "restricted"}),
        ("pressure_difference", {"hazards.pressure_difference": "isolated"}),
        ("contamination", {"hazards.contamination": "low"}),
        ("vessel_traffic", {"hazards.vessel_traffic": "controlled"}),
        ("ice", {"hazards.ice_cover": "broken", "readings.ice_thickness": "8 in"}),
        ("cold", {"readings.water_temperature": "10 C"}),
        ("no_voice", {"dive.voice": "no"}),
        ("kit_unchecked", {"dive.kit_checked": "no"}),
        ("care_far", {"support.care_minutes": "61 min"}),
    ],
)
def test_what_does_not_decide_is_still_said(flag, given):
    """Each of these lets divers go, some under controls, and is named."""
    found = decision(**given)

    assert flag in found["flags"]
    assert found["decision"] in ("divers", "divers_with_controls")


def test_each_flag_is_said_once_and_in_words():
    """The worst crew in the worst water: no id twice, each known, each with its words."""
    worst = decision(
        "black harbour", **{"readings.current": "3 kn", "hazards.entanglement": "severe", "positions.diver_tender": "no"},
    )  # fmt: skip

    assert len(worst["flags"]) == len(set(worst["flags"])) > 5
    assert set(worst["flags"]) <= set(FLAGS)
    assert [each["id"] for each in worst["flag_words"]] == worst["flags"]
    assert all(each["text"] for each in worst["flag_words"])


def test_nobody_to_save_is_not_claimed_where_nobody_knows():
    """An unknown time under water may be a rescue."""
    assert "no_gain" in decision("drowning", **{"task.kind": "recovery"})["flags"]
    assert "no_gain" not in decision("drowning", under_water="unknown")["flags"]


def test_a_missing_vehicle_is_said_where_one_was_wanted():
    """A team without a vehicle hears of it when the rules would have sent it, not on a fair day."""
    assert "vehicle_unavailable" in decision(**{"task.target": "contact"})["flags"]
    assert "vehicle_unavailable" not in decision()["flags"]
    assert "vehicle_unavailable" not in decision(**{"readings.wave_height": "3.5 ft"})["flags"]


def test_what_the_vehicle_cannot_do_is_said_to_who_owns_one():
    """In 2.1 kn it cannot hold, whether or not it was asked to go."""
    assert "vehicle_cannot_hold" in decision(vehicle="working", **{"readings.current": "2.1 kn"})["flags"]
    assert "vehicle_cannot_hold" not in decision(**{"readings.current": "2.1 kn"})["flags"]


def test_a_closed_window_is_said_and_an_open_one_is_not():
    """On the minute."""
    assert "rescue_window_closed" in decision("drowning", under_water="31 min")["flags"]
    assert "rescue_window_closed" not in decision("drowning", under_water="30 min")["flags"]
