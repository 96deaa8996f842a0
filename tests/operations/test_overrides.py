"""More caution is free. Less needs a reason and a second named person. Absolute stops are never passed."""

import pytest

from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Assessment
from tests.operations.sending import body, decision, record, send, sign, signed, situation

REASON = "Rope tender on both banks, target seen by the vehicle yesterday"


def vehicle_first():
    """A recovery with a target that nobody confirmed, and a vehicle that can: the tool says vehicle first."""
    vehicle = {
        "available": "yes",
        "depth_rating": {"value": "100", "unit": "m"},
        "tether_length": {"value": "150", "unit": "m"},
        "imaging_sonar": "yes",
        "current_limit": {"value": "1.5", "unit": "kn"},
    }
    made = situation(task={"kind": "recovery", "submerged_at": None, "target": "contact"}, vehicle=vehicle)
    for name in ("vehicle_pilot", "tether_handler"):
        made["positions"][name] = {"filled": "yes", "qualified": "yes", "ready": "yes", "sole_duty": "yes"}
    return made


@pytest.fixture
def of():
    made = vehicle_first()
    assert decision(made)["decision"] == "vehicle_first"
    return made


def override(crew, of, *, reason=REASON, second="deputy", signers=("supervisor decided", "deputy overrode")):
    person = crew.people[second].pk if second else None
    chosen = {"decision": "divers_with_controls", "reason": reason, "second_person": str(person) if person else None}
    made = record(crew, of, chosen=chosen)
    return body(made, *(sign(made, crew.people[who], what) for who, what in map(str.split, signers)))


def test_less_caution_with_reason_and_second_person_is_kept_for_the_chief(crew, of):
    """In the row and in the ledger."""
    assert send(crew, override(crew, of)).status == 201
    stored = Assessment.objects.get()
    assert (stored.decision, stored.chosen_decision) == ("vehicle_first", "divers_with_controls")
    assert (stored.override_reason, stored.override_second) == (REASON, crew.deputy)
    assert REASON in Entry.objects.get(verb="receive_record").detail


@pytest.mark.parametrize("reason", ["", "in a hurry", " " * 20, "hurry" + " " * 20])
def test_a_reason_takes_fifteen_characters(crew, of, reason):
    """Blanks do not count."""
    with pytest.raises(Refused, match=r"record\.chosen\.reason"):
        send(crew, override(crew, of, reason=reason))


@pytest.mark.parametrize("second", [None, "supervisor", "diver", "neighbour_supervisor"])
def test_the_second_person_is_somebody_else_who_may(crew, of, second):
    """Named, of the agency, of a role that may agree, and not who decided."""
    with pytest.raises(Refused, match=r"second_person"):
        send(crew, override(crew, of, second=second))
    assert not Assessment.objects.exists()


def test_the_second_person_signs(crew, of):
    """A name alone is not agreement."""
    with pytest.raises(Refused, match="none by Oskar Lund"):
        send(crew, override(crew, of, signers=("supervisor decided",)))
    with pytest.raises(Refused, match="none by Oskar Lund"):
        send(crew, override(crew, of, signers=("supervisor decided", "deputy briefed")))


@pytest.mark.parametrize("choice", ["vehicle_first", "vehicle_only", "hold"])
def test_the_same_or_more_caution_needs_nothing(crew, of, choice):
    """And is no override."""
    chosen = {"decision": choice, "reason": "", "second_person": None}
    assert send(crew, signed(crew, of, chosen=chosen)).status == 201
    stored = Assessment.objects.get()
    assert (stored.override_reason, stored.override_second) == ("", None)


def absolute_stop():
    of = situation(hazards__pressure_difference="uncontrolled")
    stops = decision(of)["stops"]
    assert any(stop["absolute"] for stop in stops), stops
    return of


def test_an_absolute_stop_is_never_passed(crew):
    """Not with any reason and any second person."""
    of = absolute_stop()
    with pytest.raises(Refused, match="absolute stop"):
        send(crew, override(crew, of))
    assert not Assessment.objects.exists()


def test_a_record_that_hides_an_absolute_stop_is_refused(crew):
    """The server finds it again."""
    made = record(crew, absolute_stop())
    made["decision"] = decision(situation())
    made["chosen"] = {"decision": "divers", "reason": "", "second_person": None}
    with pytest.raises(Refused, match="absolute stop"):
        send(crew, body(made, sign(made, crew.supervisor)))


def test_an_older_engines_answer_is_kept_and_flagged(crew):
    """It is what the crew had in hand; the chief sees that the server decides otherwise."""
    made = record(crew, absolute_stop())
    made["decision"] = decision(situation()) | {"engine": {"version": "0.9.0"}}
    made["chosen"] = {"decision": "divers", "reason": "", "second_person": None}
    assert send(crew, body(made, sign(made, crew.supervisor))).status == 201
    stored = Assessment.objects.get()
    assert (stored.decision, stored.server_decision, stored.differs) == ("divers", "hold", True)
