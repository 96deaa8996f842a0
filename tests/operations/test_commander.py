"""A risk that stays high goes to the incident commander by name before a briefing is complete."""

from datetime import timedelta
from uuid import uuid4

import pytest

from opsrisk.agencies.refusals import Refused
from opsrisk.assessment import commander
from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.read_back import COMPLETE
from opsrisk.assessment.record import canonical
from opsrisk.briefing.actions import issue_sheet
from opsrisk.briefing.content import given
from opsrisk.briefing.languages import language
from opsrisk.briefing.sheet.brief_back import TO_WRITE
from opsrisk.briefing.sheet.compose import compose
from opsrisk.ledger.models import Entry
from opsrisk.operations.briefed import rounds_of, state_of
from opsrisk.operations.log_actions import receive_line
from opsrisk.operations.models import Assessment, LogEntry
from opsrisk.operations.void_actions import state, void_record
from tests.operations.sending import ASSESSED, RECEIVED, body, decision, record, send, sign
from tests.operations.test_read_back import BRIEF, add, all_back, line, places, revised, signed_record

NAME = "Alma Reyes"
OPEN = "the incident commander has not acknowledged the risk"
LIFE = BRIEF | {"gain": "A life that may still be saved"}


def reading(value, unit):
    return {"value": value, "unit": unit, "how": "measured", "at": ASSESSED.isoformat()}


def rescue(crew, **changes):
    """Somebody under water for ten minutes: divers with controls, score 52, over the line of 45."""
    under = (ASSESSED - timedelta(minutes=10)).isoformat()
    rough = {
        "task": {"kind": "rescue", "submerged_at": under, "target": "contact"},
        "readings__current": reading("0.8", "kn"), "readings__visibility": reading("3", "ft"),
        "readings__depth": reading("30", "ft"), "readings__water_temperature": reading("12", "C"),
        "hazards__entanglement": "moderate",
    }  # fmt: skip
    return places(crew, **rough | changes)


def risky(crew, **changes):
    return signed_record(crew, rescue(crew, **changes), brief=LIFE)


def told_of(assessment):
    return state_of(assessment)["commander"]


def answers(crew, assessment, *, name=NAME, wrong=(), accepts=True, seconds=200, **content):
    told = told_of(assessment)["told"] if told_of(assessment) else dict.fromkeys(commander.ITEMS, "x")
    items = {item: {"said": told[item], "right": item not in wrong} for item in commander.ITEMS}
    whole = {"name": name, **items, "accepts": accepts, "heard_by": str(crew.supervisor.pk)} | content
    return line(crew, assessment, "commander", whole, seconds=seconds)


def test_a_score_over_the_line_is_not_ready_until_the_commander_has_said_it_back(crew):
    """Everybody has briefed back, and one loop is open still: the name, the words, the hearer and the time close it."""
    stored = risky(crew)
    assert decision(rescue(crew))["score"] == 52
    assert told_of(stored)["why"] == ["The score of 52 is over the line of 45 for nobody to save"]
    all_back(crew, stored)
    assert state_of(stored)["lacking"] == [OPEN]
    assert state_of(stored)["words"] == f"Not ready: {OPEN}"
    add(crew, answers(crew, stored))
    now = state_of(stored)
    assert now["ready"] and now["words"].startswith(COMPLETE)
    found = now["commander"]
    assert (found["name"], found["heard_by"], found["state"]) == (NAME, "Ines Varga", "closed")
    assert found["said"] == {
        "decision": "Divers may enter once the controls are in place",
        "risk": "score 52, over the line of 45",
        "gain": "A life that may still be saved",
    }


def test_one_point_over_the_line_asks_and_a_hold_or_a_calm_dive_does_not(crew):
    """46 asks; a calm one does not, nor does any score where nobody goes in."""
    assert told_of(risky(crew, hazards__entanglement="light"))
    chosen = {"decision": "hold", "reason": "", "second_person": None}
    held = signed_record(crew, rescue(crew), number=2, brief=LIFE, chosen=chosen)
    assert told_of(held) is None
    calm = signed_record(crew, number=3)
    assert told_of(calm) is None


def test_less_caution_than_computed_asks_at_any_score(crew):
    """Two people agreed to it; it still goes to the commander."""
    of = places(crew, hazards__entanglement="moderate")
    chosen = {"decision": "divers", "reason": "The ledge was cleared last week", "second_person": str(crew.deputy.pk)}
    made = record(crew, of, brief=BRIEF, chosen=chosen)
    assert made["decision"]["decision"] == "divers_with_controls" and made["decision"]["score"] <= 45
    send(crew, body(made, sign(made, crew.supervisor), sign(made, crew.deputy, "overrode")))
    stored = Assessment.objects.get()
    assert told_of(stored)["why"] == ["Less caution was chosen than computed: divers with controls"]
    all_back(crew, stored)
    assert state_of(stored)["lacking"] == [OPEN]
    add(crew, answers(crew, stored))
    assert state_of(stored)["ready"]


WRONG = {
    "another score": ({"wrong": ["risk"]}, "not said as on the sheet: risk"),
    "does not accept": ({"accepts": False}, "the incident commander does not accept the risk"),
    "who decided": ({"name": " ines  VARGA", "heard_by": "chief"}, "who decided or goes in cannot be the one"),
    "who dives": ({"name": "Mara Quill"}, "who decided or goes in cannot be the one"),
    "who stands by": ({"name": "oskar lund"}, "who decided or goes in cannot be the one"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_the_commander_did_not_accept_or_say_keeps_it_open(crew, name):
    """It is kept, and a later right answer counts."""
    how, words = WRONG[name]
    stored = risky(crew)
    all_back(crew, stored)
    if "heard_by" in how:
        how = how | {"heard_by": str(crew.people[how["heard_by"]].pk)}
    add(crew, answers(crew, stored, **how))
    assert told_of(stored)["state"] == "wrong" and words in told_of(stored)["because"][0]
    assert state_of(stored)["lacking"] == [OPEN]
    add(crew, answers(crew, stored, seconds=300))
    assert state_of(stored)["ready"] and told_of(stored)["tries"] == 2


def other_diver(crew):
    of = rescue(crew)
    of["positions"]["diver"]["person"] = str(crew.chief.pk)
    return {"of": of, "brief": LIFE}


CHANGES = {
    "score": (
        lambda crew: {"of": rescue(crew, hazards__entanglement="light"), "brief": LIFE},
        "score: was 52 with the",
    ),
    "gain": (lambda crew: {"of": rescue(crew), "brief": {**LIFE, "gain": "Property"}}, "gain: was A life that may"),
    "people": (other_diver, "diver: was Mara Quill, now Teo Brandt"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_revision_that_changes_what_was_acknowledged_opens_it_again(crew, name):
    """And says what is different; one that changes nothing of it keeps the answer."""
    change, words = CHANGES[name]
    first = risky(crew)
    add(crew, answers(crew, first))
    same = revised(crew, first, rescue(crew), brief=LIFE)
    assert told_of(same)["state"] == "closed"
    other = revised(crew, same, number=3, **change(crew))
    assert told_of(other)["state"] == "reopened"
    assert any(one.startswith(words) for one in told_of(other)["because"]), told_of(other)["because"]


def test_a_decision_of_more_caution_that_still_lets_people_in_opens_it_again(crew):
    """Another decision is another thing to acknowledge."""
    first = risky(crew)
    add(crew, answers(crew, first))
    chosen = {"decision": "vehicle_first", "reason": "", "second_person": None}
    other = revised(crew, first, rescue(crew), brief=LIFE, chosen=chosen)
    assert told_of(other)["because"][0].startswith("decision: was Divers may enter once")


BAD = {
    "no name": ({"name": " "}, "content.name"),
    "a name too long": ({"name": "x" * 81}, "content.name"),
    "a tick": ({"risk": {"right": True}}, "content.risk.said"),
    "nothing said": ({"decision": {"said": "", "right": True}}, "content.decision.said"),
    "accepted in a word": ({"accepts": "yes"}, "content.accepts"),
    "heard by nobody": ({"heard_by": ""}, "content.heard_by"),
    "heard by a neighbour": ({"heard_by": "neighbour_chief"}, "content.heard_by"),
    "heard by oneself": ({"name": "INES VARGA "}, "content.name"),
    "no record": ({"record": "latest"}, "content.record"),
    "more than asked": ({"understood": True}, "content.understood"),
}


@pytest.mark.parametrize("name", BAD)
def test_an_answer_without_name_words_or_hearer_is_refused_by_field(crew, name):
    """Nothing is stored, and the briefing stays open."""
    changes, field = BAD[name]
    stored = risky(crew)
    made = answers(crew, stored)
    if changes.get("heard_by") in crew.people:
        changes = {"heard_by": str(crew.people[changes["heard_by"]].pk)}
    with pytest.raises(Refused) as refused:
        add(crew, made | {"content": made["content"] | changes})
    assert refused.value.errors[0][0] == field
    assert not LogEntry.objects.exists()
    assert OPEN in state_of(stored)["lacking"]


def test_the_name_alone_is_missing_and_refused(crew):
    """A line of the right kind that lacks the field."""
    made = answers(crew, risky(crew))
    del made["content"]["name"]
    with pytest.raises(Refused, match=r"content\.name"):
        add(crew, made)


def test_an_answer_that_arrives_twice_or_before_its_record_is_kept_once(crew):
    """By the line's own id, with one entry in the ledger; it is no read-back of the round."""
    stored = risky(crew)
    made = answers(crew, stored)
    assert [add(crew, made)[0] for _ in range(3)] == [201, 200, 200]
    assert Entry.objects.filter(verb="log_commander").count() == 1
    assert rounds_of(stored.operation) == []
    early = made | {"id": str(uuid4()), "content": made["content"] | {"record": "ab" * 32}}
    assert add(crew, early)[0] == 201
    assert told_of(stored)["because"] == ["said back on a revision that is not here"]


def printed(assessment, tongue="en"):
    return compose(given(assessment), cautions=CAUTIONS, language=language(tongue, "."))


def rows_of(sheet):
    front = next(block for block in sheet.front if block.key == "commander")
    back = next(block for block in sheet.back if block.key == "brief-back-commander")
    assert front.title in ("Incident commander", "Jefe del incidente") and len(front.rows) == 1
    return front.rows[0], back.rows[0].cells


def test_the_sheet_has_a_line_to_fill_by_hand_until_it_is_acknowledged(crew):
    """Page one and the back; the name, the words and the hearer once they are there."""
    stored = risky(crew)
    front, cells = rows_of(printed(stored))
    assert (front.label, front.value) == ("OPEN. Name, time", TO_WRITE)
    assert (cells[0], cells[2], cells[3]) == ("", "OPEN", "")
    all_back(crew, stored)
    assert "all have briefed back" in printed(stored).end
    add(crew, answers(crew, stored, accepts=False, wrong=["risk"]))
    front, cells = rows_of(printed(stored))
    assert front.value == TO_WRITE and cells[2].startswith("OPEN again (the incident commander does not accept")
    add(crew, answers(crew, stored, seconds=300))
    sheet = printed(stored)
    front, cells = rows_of(sheet)
    assert sheet.end.startswith(COMPLETE)
    assert (front.label, front.value, cells[0]) == ("Accepts the risk", NAME, NAME)
    assert front.note.endswith("heard by Ines Varga")
    assert "score 52, over the line of 45" in cells[2] and "Ines Varga" in cells[3]


def test_the_sheet_says_it_in_spanish(crew):
    """No English is left in what is ours; a name stays."""
    stored = risky(crew)
    front, cells = rows_of(printed(stored, "es"))
    assert (front.label, front.value) == ("ABIERTO. Nombre, hora", TO_WRITE)
    add(crew, answers(crew, stored))
    front, cells = rows_of(printed(stored, "es"))
    assert (front.label, front.value) == ("Acepta el riesgo", NAME) and front.note.endswith("lo oyó Ines Varga")
    assert "puntaje 52, sobre la línea de 45" in cells[1] and cells[1] == cells[2]


def test_a_sheet_without_the_log_still_has_the_line(crew):
    """A tablet that knows nothing but the record prints it open."""
    stored = risky(crew)
    bare = given(stored)
    sheet = compose(type(bare)(record=bare.record, digest=bare.digest, signatures=bare.signatures), cautions=CAUTIONS)
    front, cells = rows_of(sheet)
    assert front.value == TO_WRITE and cells[2] == "OPEN"


def test_a_void_sheet_asks_nobody_to_write_a_name(crew):
    """Nobody works by it."""
    stored = risky(crew)
    void_record(assessment=stored, shown=state(stored), reason="Read off the wrong gauge", by=crew.chief, at=RECEIVED)
    stored.refresh_from_db()
    assert "commander" not in [block.key for block in printed(stored).front]


def test_a_sheet_printed_before_the_answer_is_made_anew(crew):
    """As after any read-back."""
    stored = risky(crew)
    first = issue_sheet(assessment=stored, paper="letter", by=crew.chief, at=RECEIVED)
    later = RECEIVED + timedelta(minutes=1)
    receive_line(body=canonical(answers(crew, stored)), by=crew.supervisor, at=later)
    again = issue_sheet(assessment=stored, paper="letter", by=crew.chief, at=later + timedelta(minutes=1))
    assert again.made_at > first.made_at


def test_the_desk_says_why_it_is_asked_and_what_was_said(crew, as_person):
    """The record's page, the operation's page and its log."""
    stored = risky(crew)
    client = as_person(crew.chief)
    page = client.get(f"/assessments/{stored.pk}/").content.decode()
    assert OPEN in page and "The score of 52 is over the line of 45 for nobody to save" in page
    assert "nobody has acknowledged it" in page
    assert OPEN in client.get(f"/operations/{stored.operation_id}/").content.decode()
    add(crew, answers(crew, stored))
    page = client.get(f"/assessments/{stored.pk}/").content.decode()
    assert NAME in page and "accepted and said back" in page and OPEN not in page
    assert (
        f"Incident commander {NAME} accepts the risk"
        in client.get(f"/operations/{stored.operation_id}/").content.decode()
    )
