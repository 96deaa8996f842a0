"""A briefing is complete when everybody on the sheet has said back task, limit and abort signal; changes open it again."""

import json
from datetime import timedelta
from uuid import uuid4

import pytest

from opsrisk.agencies.refusals import Refused
from opsrisk.assessment import told
from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.read_back import COMPLETE, listed
from opsrisk.assessment.record import canonical, digest
from opsrisk.briefing.actions import issue_sheet
from opsrisk.briefing.content import given
from opsrisk.briefing.sheet.compose import compose
from opsrisk.ledger.models import Entry
from opsrisk.operations.briefed import rounds_of, state_of
from opsrisk.operations.log_actions import receive_line
from opsrisk.operations.models import Assessment, LogEntry
from tests.operations.sending import ASSESSED, RECEIVED, body, record, send, sign, situation

BRIEF = {"task": "Line search along the ledge", "recall": "Four pulls", "gain": "Practice", "radio": "Channel 2"}


def places(crew, **more):
    """Named people in four positions; the supervisor, who decides, holds the fifth."""
    made = situation(**more)
    who = {"supervisor": crew.supervisor, "diver": crew.diver, "standby_diver": crew.deputy, "medic": crew.safety}
    for name, entry in made["positions"].items():
        entry["person"] = str(who[name].pk) if name in who else f"guest-{name}"
    return made


TENDERS = ("Somebody else, diver's tender", "Somebody else, standby's tender")


def signed_record(crew, of=None, *, number=1, **changes):
    made = record(crew, of or places(crew), number=number, **({"brief": BRIEF} | changes))
    send(crew, body(made, sign(made, crew.supervisor)), key=f"k{number}")
    return Assessment.objects.get(pk=made["id"])


def revised(crew, first, of=None, *, number=2, **changes):
    return signed_record(crew, of, number=number, revision=first.revision + 1, previous=first.digest, **changes)


def line(crew, assessment, kind, content, *, seconds=0):
    at = (ASSESSED + timedelta(seconds=seconds)).isoformat()
    operation = assessment.operation
    named = {"id": str(operation.pk), "title": operation.title, "site": None, "place": operation.place}
    device = {"id": "tablet 1", "client_version": "1", "offset_s": 0}
    made = {"format": "opsrisk.log/1", "id": str(uuid4()), "operation": named, "kind": kind, "at": at}
    return made | {"by": str(crew.supervisor.pk), "device": device, "content": content | {"record": assessment.digest}}


def said(crew, assessment, key, *, wrong=(), heard_by=None, seconds=0):
    """What `key` says back; the items in `wrong` are not as on the sheet."""
    loop = next(one for one in state_of(assessment)["loops"] if one["key"] == key)
    items = {
        item: {
            "said": "something else" if item in wrong else loop["told"][item] or "by voice",
            "right": item not in wrong,
        }
        for item in told.ITEMS
    }
    content = {"loop": key, "heard_by": str((heard_by or crew.supervisor).pk), **items}
    return line(crew, assessment, "read_back", content, seconds=seconds)


def add(crew, made):
    return receive_line(body=canonical(made), by=crew.supervisor, at=RECEIVED)


def all_back(crew, assessment, *, but=()):
    add(crew, line(crew, assessment, "briefing", {"present": [str(crew.diver.pk), str(crew.deputy.pk)]}))
    for place, loop in enumerate(state_of(assessment)["loops"], 1):
        if loop["key"] not in but:
            add(crew, said(crew, assessment, loop["key"], seconds=20 * place))


def states(assessment):
    return {one["name"]: one["state"] for one in state_of(assessment)["loops"]}


def because(assessment, name):
    return next(one["because"] for one in state_of(assessment)["loops"] if one["name"] == name)


def test_not_ready_until_the_last_person_has_said_it_back(crew):
    """Each listed person but who decided; the state names who is left."""
    stored = signed_record(crew)
    assert set(states(stored)) == {"Mara Quill", "Oskar Lund", "Lena Okafor", *TENDERS}
    all_back(crew, stored, but=[str(crew.diver.pk)])
    open_still = state_of(stored)
    assert not open_still["ready"]
    assert open_still["words"] == "Not ready: 1 of 5 not briefed back (Mara Quill)"
    add(crew, said(crew, stored, str(crew.diver.pk), seconds=90))
    ready = state_of(stored)
    assert ready["ready"]
    assert ready["words"].startswith(COMPLETE)
    assert "safe" not in ready["words"].lower()


def test_a_position_without_a_name_has_to_say_it_back_too(crew):
    """Filled is enough to be on the sheet."""
    of = places(crew)
    del of["positions"]["diver_tender"]["person"]
    stored = signed_record(crew, of)
    assert "position:diver_tender" in [one["key"] for one in state_of(stored)["loops"]]


@pytest.mark.parametrize("item", told.ITEMS)
def test_what_is_not_said_as_on_the_sheet_closes_nothing(crew, item):
    """The try is kept, and said right the second time it counts."""
    stored = signed_record(crew)
    all_back(crew, stored, but=[str(crew.diver.pk)])
    add(crew, said(crew, stored, str(crew.diver.pk), wrong=[item], seconds=90))
    assert states(stored)["Mara Quill"] == "wrong"
    assert told.ITEM_WORDS[item].lower() in because(stored, "Mara Quill")[0]
    add(crew, said(crew, stored, str(crew.diver.pk), seconds=100))
    found = state_of(stored)
    assert found["ready"]
    assert next(one for one in found["loops"] if one["name"] == "Mara Quill")["tries"] == 2
    assert LogEntry.objects.filter(kind="read_back").count() == 6


def test_people_put_at_risk_need_a_stated_gain(crew):
    """Everybody has said it back, and still not ready: nobody wrote what is gained."""
    stored = signed_record(crew, brief={**BRIEF, "gain": " "})
    all_back(crew, stored)
    assert state_of(stored)["lacking"] == ["no gain is stated although people go in"]


def test_nobody_goes_in_and_no_gain_is_needed(crew):
    """Hold puts nobody at risk."""
    chosen = {"decision": "hold", "reason": "", "second_person": None}
    stored = signed_record(crew, brief={**BRIEF, "gain": ""}, chosen=chosen)
    all_back(crew, stored)
    assert state_of(stored)["ready"]
    assert "stays out of the water" in told.task(record(crew, places(crew), chosen=chosen), "diver")


def changed_people(crew):
    of = places(crew)
    of["positions"]["standby_diver"]["person"] = str(crew.chief.pk)
    return {"of": of}


def changed_limit(crew):
    return {"of": places(crew, dive__bottom_time={"value": "30", "unit": "min"})}


CHANGES = {
    "people": (changed_people, "standby diver: was Oskar Lund, now Teo Brandt"),
    "limit": (changed_limit, "bottom time: was 20 min, now 30 min"),
    "decision": (
        lambda crew: {"chosen": {"decision": "hold", "reason": "", "second_person": None}},
        "decision: was Divers may enter: no configured limit exceeded, now Hold",
    ),
    "recall": (lambda crew: {"brief": {**BRIEF, "recall": "Horn"}}, "recall signal: was Four pulls, now Horn"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_opens_the_loops_concerned_and_says_why(crew, name):
    """After a new revision the briefing is not ready, and the diver's loop says what is different."""
    change, words = CHANGES[name]
    first = signed_record(crew)
    all_back(crew, first)
    assert state_of(first)["ready"]
    second = revised(crew, first, **change(crew))
    assert not state_of(second)["ready"]
    assert states(second)["Mara Quill"] == "reopened"
    assert words in because(second, "Mara Quill")
    assert state_of(first)["lacking"] == ["a later revision stands"]


def test_a_changed_diver_concerns_the_dive_crew_and_not_the_medic(crew):
    """Whose own task, limit, signal and people stay the same keeps the loop that was closed."""
    first = signed_record(crew)
    all_back(crew, first)
    second = revised(crew, first, **changed_people(crew))
    tenders = dict.fromkeys(TENDERS, "reopened")
    assert states(second) == {"Mara Quill": "reopened", "Teo Brandt": "open", "Lena Okafor": "closed", **tenders}


def read_at(crew, minutes):
    """The same assessment with every reading that many minutes later."""
    of = places(crew)
    of["assessed_at"] = (ASSESSED + timedelta(minutes=max(0, minutes))).isoformat()
    for reading in of["readings"].values():
        reading["at"] = (ASSESSED + timedelta(minutes=minutes)).isoformat()
    return of


def test_an_earlier_end_opens_every_loop_and_a_later_one_none(crew):
    """Nobody stays longer than told because the end moved back."""
    first = signed_record(crew)
    all_back(crew, first)
    second = revised(crew, first, read_at(crew, 10))
    assert told.until(document_of(second)) > told.until(document_of(first))
    named = {name: state for name, state in states(second).items() if name not in TENDERS}
    assert set(named.values()) == {"closed"}
    third = revised(crew, second, read_at(crew, -10), number=3)
    assert set(states(third).values()) == {"reopened"}
    assert all(any("earlier than told" in why for why in loop["because"]) for loop in state_of(third)["loops"])


def test_somebody_without_a_name_says_it_back_on_every_revision(crew):
    """It may be another person each time; a name in the record that is the same on both keeps the loop."""
    first = signed_record(crew)
    all_back(crew, first)
    second = revised(crew, first)
    assert {states(second)[name] for name in TENDERS} == {"reopened"}
    assert because(second, TENDERS[0]) == ["said back on an earlier revision by somebody without a name"]


def named_guests(crew, name):
    of = places(crew)
    of["people"] = [{"id": "guest-diver_tender", "name": name, "fit": "yes", "hours_awake": "8", "dives_24h": "0"}]
    return of


def test_a_guest_of_the_same_name_keeps_the_loop_and_another_does_not(crew):
    """The name stands in the signed record, on both revisions."""
    first = signed_record(crew, named_guests(crew, "Ann Fell"))
    all_back(crew, first)
    assert states(revised(crew, first, named_guests(crew, "Ann Fell")))["Ann Fell"] == "closed"
    other = revised(crew, first, named_guests(crew, "Bob Ware"), number=3)
    assert states(other)["Bob Ware"] == "reopened"


def test_a_late_right_answer_does_not_close_what_was_wrong_since(crew):
    """A tablet without a network sends late: by the clocks the wrong one came after, and counts until a later right one."""
    stored = signed_record(crew)
    who = str(crew.diver.pk)
    early = said(crew, stored, who, seconds=60)
    add(crew, said(crew, stored, who, wrong=["limit"], seconds=300))
    add(crew, early)
    assert states(stored)["Mara Quill"] == "wrong"
    add(crew, said(crew, stored, who, seconds=360))
    assert states(stored)["Mara Quill"] == "closed"


def test_a_late_answer_on_an_earlier_revision_opens_nothing_again(crew):
    """What was said on the record that stands is what counts."""
    first = signed_record(crew)
    late = said(crew, first, str(crew.diver.pk), wrong=["task"], seconds=30)
    second = revised(crew, first)
    add(crew, said(crew, second, str(crew.diver.pk), seconds=90))
    add(crew, late)
    assert states(second)["Mara Quill"] == "closed"


def document_of(assessment):
    return json.loads(assessment.record)


def test_two_revisions_signed_apart_are_never_ready(crew):
    """Until they are put together nobody knows which one was briefed."""
    first = signed_record(crew)
    one = revised(crew, first, number=2)
    other = revised(crew, first, changed_limit(crew)["of"], number=3)
    for each in (one, other):
        all_back(crew, each)
        assert any("two revisions stand" in why for why in state_of(each)["lacking"])


def test_the_round_says_who_was_there_how_long_it_took_and_what_it_changed(crew):
    """Facts for the chief: present, seconds from the start to the last loop, tries, slips, a change."""
    first = signed_record(crew)
    all_back(crew, first, but=[str(crew.diver.pk)])
    add(crew, said(crew, first, str(crew.diver.pk), wrong=["limit"], seconds=90))
    (found,) = rounds_of(first.operation)
    assert found["present"] == sorted([str(crew.diver.pk), str(crew.deputy.pk)])
    assert (found["seconds"], found["tries"], found["not_right"], found["people"]) == (100, 5, 1, 5)
    assert not found["led_to_a_change"]
    revised(crew, first)
    assert rounds_of(first.operation)[0]["led_to_a_change"]


def test_a_read_back_that_arrives_twice_or_before_its_record_is_kept_once(crew):
    """Lines go by their own id; the record may still be in the tablet's box."""
    stored = signed_record(crew)
    made = said(crew, stored, str(crew.diver.pk))
    assert [add(crew, made)[0] for _ in range(3)] == [201, 200, 200]
    assert Entry.objects.filter(verb="log_read_back").count() == 1
    early = made | {"id": str(uuid4()), "content": made["content"] | {"record": "ab" * 32}}
    status, receipt = add(crew, early)
    assert (status, receipt["digest"]) == (201, digest(early))
    assert because(stored, "Mara Quill") == ["said back on a revision that is not here"]


BAD = {
    "heard by oneself": ({"heard_by": "diver"}, "content.heard_by"),
    "heard by a neighbour": ({"heard_by": "neighbour_chief"}, "content.heard_by"),
    "a tick": ({"limit": {"right": True}}, "content.limit.said"),
    "nothing said": ({"abort": {"said": " ", "right": True}}, "content.abort.said"),
    "no record": ({"record": "latest"}, "content.record"),
    "a word for right": ({"task": {"said": "Diver", "right": "yes"}}, "content.task.right"),
    "no person": ({"loop": ""}, "content.loop"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_read_back_without_words_or_hearer_is_refused_by_field(crew, name):
    """A mark that it was understood is no read-back."""
    changes, field = BAD[name]
    stored = signed_record(crew)
    made = said(crew, stored, str(crew.diver.pk))
    if changes.get("heard_by") in crew.people:
        changes = {"heard_by": str(crew.people[changes["heard_by"]].pk)}
    with pytest.raises(Refused) as refused:
        add(crew, made | {"content": made["content"] | changes})
    assert refused.value.errors[0][0] == field
    assert not LogEntry.objects.exists()


@pytest.mark.parametrize("present", [[], ["a"] * 2, [3], ["x" * 81]])
def test_who_is_present_is_a_list_of_people_each_once(crew, present):
    """An empty round is none."""
    stored = signed_record(crew)
    with pytest.raises(Refused, match=r"content\.present"):
        add(crew, line(crew, stored, "briefing", {"present": present}))


def test_choices_hold_the_right_one_and_do_not_give_it_away(crew):
    """Sorted, at most four, at least one other for task and limit: a tap says which, not that."""
    document = record(crew, places(crew), brief={**BRIEF, "signals": "One pull: OK"})
    for key, held in listed({"record": document, "digest": "x", "signatures": []}).items():
        right, offered = told.told(document, held), told.choices(document, held)
        for item in told.ITEMS:
            assert right[item] in offered[item], (key, item)
            assert offered[item] == sorted(set(offered[item]))
            assert 2 <= len(offered[item]) <= 4, (key, item)


def test_desk_and_sheet_say_how_far_it_is(crew, as_person):
    """Open with names; then the completion call as the sheet's last item, and never a word of safety."""
    stored = signed_record(crew)
    client = as_person(crew.chief)
    pages = (f"/assessments/{stored.pk}/", f"/operations/{stored.operation_id}/")
    for page in pages:
        assert "Not ready: 5 of 5 not briefed back" in client.get(page).content.decode()
    before = compose(given(stored), cautions=CAUTIONS)
    assert "all have briefed back" in before.end and "OPEN" in str(before.back)
    all_back(crew, stored)
    for page in pages:
        assert COMPLETE in client.get(page).content.decode()
    sheet = compose(given(stored), cautions=CAUTIONS)
    assert sheet.end.startswith(COMPLETE)
    front = next(block for block in sheet.front if block.key == "briefed")
    assert front.rows[0].value.startswith(COMPLETE)
    back = next(block for block in sheet.back if block.key.startswith("brief-back"))
    assert any("Four pulls" in row.cells[2] and "Ines Varga" in row.cells[3] for row in back.rows)
    assert next(row for row in sheet.top[0].rows if row.label == "Gain").value == "Practice"


def test_a_sheet_printed_before_a_read_back_is_made_anew_when_asked_for(crew):
    """The file in the drawer says open; the next one does not."""
    stored = signed_record(crew)
    first = issue_sheet(assessment=stored, paper="letter", by=crew.chief, at=RECEIVED)
    later = RECEIVED + timedelta(minutes=1)
    assert issue_sheet(assessment=stored, paper="letter", by=crew.chief, at=later).made_at == first.made_at
    line_back = canonical(said(crew, stored, str(crew.diver.pk)))
    receive_line(body=line_back, by=crew.supervisor, at=later)
    again = issue_sheet(assessment=stored, paper="letter", by=crew.chief, at=later + timedelta(minutes=1))
    assert again.made_at > first.made_at


def test_other_controls_concern_who_dives_and_who_holds_the_line(crew):
    """What has to be in place is part of what they were briefed on; the medic's work is the same."""
    document = document_of(signed_record(crew))
    more = json.loads(json.dumps(document))
    more["decision"]["controls"] = [{"id": "cutting_tools", "text": "Two cutting tools on the diver", "owner": "diver"}]
    for held, concerned in ((("diver",), True), (("standby_tender",), True), (("medic",), False)):
        was, now = (told.facts(one, held, {}) for one in (document, more))
        assert (was != now) == concerned
        assert ("controls" in now) == concerned
