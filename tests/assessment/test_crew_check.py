"""Positions checked against the list of people: they can only become worse."""

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from opsrisk.assessment.crew import WORSE, Limits, check_positions
from opsrisk.engine.inputs import POSITIONS, STATES

LIMITS = Limits(hours_awake=16, dives_24h=2)
GOOD = {"filled": "yes", "qualified": "yes", "ready": "yes", "sole_duty": "yes"}
ADA = {"id": "ada", "name": "Ada", "qualifications": ["supervisor", "diver"], "fit": "yes", "hours_awake": "6"}


def named(person):
    return {**GOOD, "person": person}


def test_a_position_that_the_list_bears_out_stays_as_stated():
    """Nothing to object to: nothing changed, no reason given."""
    checked = check_positions({"diver": named("ada")}, [ADA], LIMITS)["diver"]
    assert (checked.filled, checked.qualified, checked.ready, checked.sole_duty) == ("yes",) * 4
    assert checked.reasons == ()


def test_a_person_in_two_positions_has_no_sole_duty_in_either():
    """A supervisor who dives is found by name in both places."""
    checked = check_positions({"supervisor": named("ada"), "diver": named("ada")}, [ADA], LIMITS)
    assert checked["supervisor"].sole_duty == checked["diver"].sole_duty == "no"
    assert "also named as diver" in checked["supervisor"].reasons[0]


def test_a_person_who_is_not_there_fills_nothing():
    """A name that the list does not have leaves the position empty."""
    checked = check_positions({"diver": named("eve")}, [ADA], LIMITS)["diver"]
    assert checked.filled == "no"
    assert checked.reasons == ("eve is not in the list of people",)


def test_lack_of_qualification_and_tiredness_are_named():
    """Each contradiction makes its own state worse and says why, with the number and the limit."""
    tired = {**ADA, "qualifications": ["tender"], "hours_awake": "20"}
    checked = check_positions({"diver": named("ada")}, [tired], LIMITS)["diver"]
    assert (checked.filled, checked.qualified, checked.ready) == ("yes", "no", "no")
    assert any("20 h, the limit is 16 h" in reason for reason in checked.reasons)


def test_unknown_qualifications_are_unknown_not_absent():
    """Nobody wrote them down: the position is no longer surely qualified, and not surely unqualified."""
    checked = check_positions({"diver": named("ada")}, [{"id": "ada"}], LIMITS)["diver"]
    assert checked.qualified == "unknown"
    assert checked.ready == "yes"


def test_a_position_without_a_name_is_left_as_stated():
    """There is nothing to compare it with."""
    assert check_positions({"diver": GOOD}, [ADA], LIMITS)["diver"].qualified == "yes"


people = st.lists(
    st.fixed_dictionaries(
        {"id": st.sampled_from(["a", "b", "c", "d"])},
        optional={
            "qualifications": st.lists(st.sampled_from([*POSITIONS, "tender"]), max_size=3),
            "fit": st.sampled_from(["yes", "no", "unknown"]),
            "hours_awake": st.sampled_from(["1", "16", "30", "unknown"]),
            "dives_24h": st.sampled_from(["0", "2", "unknown"]),
        },
    ),
    unique_by=lambda one: one["id"],
)
positions = st.dictionaries(
    st.sampled_from(POSITIONS),
    st.fixed_dictionaries(
        dict.fromkeys(STATES, st.sampled_from(WORSE)), optional={"person": st.sampled_from(["a", "b", "c", "unknown"])}
    ),
)


@given(positions, people)
def test_no_check_ever_makes_a_position_better(stated, listed):
    """Whatever is stated and whoever is listed, no state comes out better than it went in."""
    checked = check_positions(stated, listed, LIMITS)
    for name, state in product(stated, STATES):
        assert WORSE.index(getattr(checked[name], state)) >= WORSE.index(stated[name][state])
