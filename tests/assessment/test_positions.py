"""Positions as stated, never better than the list of people allows."""

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.computed import facts_of
from opsrisk.engine.inputs import INPUTS, POSITIONS
from opsrisk.protocols.shipped import baseline
from tests.situations import situation

NAMES = dict(zip(POSITIONS, ("ada", "bo", "cy", "dee", "eli", "fay", "gil", "hob"), strict=True))
NAMED = {f"positions.{position}.person": name for position, name in NAMES.items()}


def person(name, position, **more):
    return {"id": name, "qualifications": [position], "fit": "yes", "hours_awake": "4", "dives_24h": "0"} | more


def team(**changes):
    """A list in which each person may fill the position they are named for; `changes` by person."""
    return [person(name, position, **changes.get(name, {})) for position, name in NAMES.items()]


def decided(people, **given):
    return assess(situation(people=people, **(NAMED | given)), baseline())


def facts(people, **given):
    return facts_of(situation(people=people, **(NAMED | given)), baseline())


def test_a_team_that_the_list_bears_out_may_enter():
    """Everybody named, qualified, fit and in one place."""
    assert decided(team())["decision"] == "divers"


def test_one_person_in_two_positions_holds():
    """The standby who also tends is free in neither."""
    decision = decided(team(), **{"positions.diver_tender.person": NAMES["standby_diver"]})

    assert decision["decision"] == "hold"
    assert {"no_tender", "standby_not_ready"} <= set(decision["rule"]["because"])


def test_a_supervisor_who_is_also_the_diver_is_found_by_name():
    """Whatever was ticked."""
    decision = decided(team(), **{"positions.diver.person": NAMES["supervisor"]})

    assert "supervisor_diving" in decision["flags"]
    assert decision["decision"] == "hold"


def test_a_name_that_is_not_in_the_list_fills_nothing():
    """Nobody by that name is here."""
    assert "no_standby" in decided(team(), **{"positions.standby_diver.person": "zoe"})["rule"]["because"]


def test_somebody_unqualified_is_no_supervisor():
    """The box said qualified; the list says tender."""
    decision = decided(team(ada={"qualifications": ["tender"]}))

    assert decision["rule"]["because"] == ["no_supervisor"]
    assert "unqualified" in decision["flags"]


def test_an_unqualified_diver_may_go_supervised():
    """Six points and a control, no stop."""
    decision = decided(team(bo={"qualifications": []}))

    assert decision["decision"] == "divers_with_controls"
    assert "diver_supervised" in {each["id"] for each in decision["controls"]}


def test_somebody_unfit_is_not_ready():
    """A diver who is not fit today does not dive."""
    assert decided(team(bo={"fit": "no"}))["rule"]["because"] == ["no_diver"]


def test_without_a_list_positions_are_as_stated():
    """And the answer says that hours and dives were not assessed."""
    decision = assess(situation(), baseline())

    assert decision["decision"] == "divers"
    assert any(line.startswith("Hours awake") for line in decision["not_assessed"])


@pytest.mark.parametrize(("hours", "decision"), [("16", "divers"), ("16.1", "hold")])
def test_the_longest_awake_in_a_diving_position_counts(hours, decision):
    """Sixteen hours are the agency's limit, for tenders as for divers."""
    assert decided(team(dee={"hours_awake": hours}))["decision"] == decision


def test_hours_of_the_vehicles_crew_do_not_stop_divers():
    """Tired pilots are another matter."""
    assert decided(team(fay={"hours_awake": "20"}))["decision"] == "divers"


def test_the_most_dives_of_the_day_count():
    """More than three in 24 hours stop."""
    assert decided(team(bo={"dives_24h": "3"}))["decision"] == "divers"
    assert decided(team(bo={"dives_24h": "4"}))["rule"]["because"] == ["too_many_dives"]


@pytest.mark.parametrize("unknown", [{"bo": {"hours_awake": "unknown"}}, {"bo": {"dives_24h": "unknown"}}])
def test_hours_and_dives_that_nobody_knows_are_the_worst(unknown):
    """Somebody in the water about whom nobody knows when they slept."""
    assert decided(team(**unknown))["decision"] == "hold"


def test_a_filled_position_without_a_name_has_unknown_hours():
    """Leaving the tired diver's name out of the position makes nobody rested."""
    left_out = {name: value for name, value in NAMED.items() if name != "positions.diver.person"}

    found = facts_of(situation(people=team(bo={"hours_awake": "30"}), **left_out), baseline())

    assert found["computed.hours_awake"].state == "unknown"
    assert found["computed.hours_awake"].value == INPUTS["computed.hours_awake"].highest


def test_a_position_that_may_be_filled_counts_as_filled():
    """Nobody says whether the second tender is there; if so, he has been awake for 30 hours."""
    found = facts(team(eli={"hours_awake": "30"}), **{"positions.standby_tender.filled": "unknown"})

    assert found["computed.hours_awake"].value == 30 * 60


def test_an_empty_position_needs_no_hours():
    """No second tender: nobody's sleep to ask about."""
    found = facts(team(), **{"positions.standby_tender.filled": "no", "positions.standby_tender.person": "zoe"})

    assert found["computed.hours_awake"].state == "given"


def test_an_empty_list_fills_no_position():
    """A list was made, and nobody is on it."""
    decision = decided([])

    assert decision["decision"] == "hold"
    assert {"no_supervisor", "no_diver", "no_tender", "no_standby"} <= set(decision["rule"]["because"])
