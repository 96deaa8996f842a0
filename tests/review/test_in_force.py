"""What lists and figures are made of follows the signed records: a revision, a void, a closing, a later reading."""

import json
from datetime import timedelta

import pytest

from opsrisk.operations.actions import close_operation
from opsrisk.operations.void_actions import state, void_record
from opsrisk.review import in_force
from opsrisk.review.in_force import catch_up, findings, work_out_again
from opsrisk.review.listing import MARKED, assessments
from opsrisk.review.models import Finding, InForce, ReadTo
from opsrisk.review.trends import summary
from tests.operations.sending import ASSESSED, RECEIVED, received
from tests.operations.test_log import CONTENT, add, line
from tests.operations.test_read_back import add as add_line
from tests.operations.test_read_back import line as briefing_line
from tests.operations.test_read_back import revised, said, signed_record


def rows(crew):
    return list(assessments(crew.chief, {}))


def test_a_revision_takes_the_place_of_the_one_before(crew):
    """One row for one operation, that of the newest revision."""
    first = received(crew)
    assert [row.assessment for row in rows(crew)] == [first]
    second = received(crew, number=2, revision=2, previous=first.digest)
    assert [row.assessment for row in rows(crew)] == [second]
    assert not Finding.objects.filter(of=first.pk).exists()


def test_a_void_goes_and_what_it_had_replaced_does_not_come_back(crew):
    """Nobody works by a void one, and nobody by the one that it had replaced."""
    first = received(crew)
    second = received(crew, number=2, revision=2, previous=first.digest)
    assert len(rows(crew)) == 1
    void_record(assessment=second, shown=state(second), reason="Read off the wrong gauge", by=crew.chief, at=RECEIVED)
    assert rows(crew) == []


def test_the_row_says_what_the_record_says(crew):
    """Column by column, and every finding by name."""
    stored = received(crew)
    [row] = rows(crew)
    for name in ("decision", "score", "own_decision", "chosen_decision", "assessed_at", "protocol_id", "made_by_id"):
        assert getattr(row, name) == getattr(stored, name)
    record = json.loads(stored.record)
    kept = Finding.objects.filter(of=row).values_list("phrase__what", "phrase__name", "phrase__text", "decided")
    assert sorted(kept) == sorted(findings(record))
    assert row.assumed == len(record["decision"]["assumed"])
    assert {name for what, name, *_ in kept if what == "trigger"} == {
        one["id"] for one in record["decision"]["triggers"]
    }


@pytest.mark.parametrize(
    ("readings_after_min", "closed_after_min", "lapses"),
    [((), 20, 0), ((), 90, 1), ((25, 50, 75), 90, 0), ((25, 75), 90, 1)],
)
def test_a_decision_that_ran_out_while_the_work_went_on_is_counted(crew, readings_after_min, closed_after_min, lapses):
    """It holds for half an hour; a reading in the log shows that somebody looked again."""
    stored = received(crew)
    holds = json.loads(stored.record)["decision"]["valid_until"]
    assert holds == (ASSESSED + timedelta(minutes=30)).isoformat()
    for minutes in readings_after_min:
        add(crew.diver, line(crew.diver, stored.operation, at=(ASSESSED + timedelta(minutes=minutes)).isoformat()))
    closed = ASSESSED + timedelta(minutes=closed_after_min)
    close_operation(operation=stored.operation, outcome="Found nothing.", by=crew.supervisor, at=closed)
    assert [row.lapses for row in rows(crew)] == [lapses]


def test_nothing_new_costs_two_queries(crew, django_assert_num_queries):
    """And what others do in the log is passed over."""
    received(crew)
    catch_up(crew.agency)
    with django_assert_num_queries(3):
        catch_up(crew.agency)
    add(crew.diver, line(crew.diver, kind="photo"))
    with django_assert_num_queries(3):
        catch_up(crew.agency)


def test_worked_out_again_is_the_same(crew):
    """Rows follow from the records and from nothing else."""
    received(crew)
    before = list(InForce.objects.values()) if rows(crew) else []
    work_out_again(crew.agency)
    assert list(InForce.objects.values()) == before != []


def test_a_long_way_of_others_is_written_down(crew, monkeypatch):
    """So that the next visit need not look through it again."""
    monkeypatch.setattr(in_force, "STEP", 2)
    received(crew)
    catch_up(crew.agency)
    read = ReadTo.objects.get().entry
    for _ in range(4):
        add(crew.diver, line(crew.diver, kind="photo"))
    catch_up(crew.agency)
    assert ReadTo.objects.get().entry == read + 4
    assert CONTENT


def test_a_neighbours_records_are_not_among_them(crew):
    """Each agency is worked out by itself."""
    received(crew)
    catch_up(crew.neighbour)
    assert not InForce.objects.exists()


def briefed(crew, stored):
    """A round is begun on this record, and one person says it back."""
    add_line(crew, briefing_line(crew, stored, "briefing", {"present": [str(crew.diver.pk)]}))
    add_line(crew, said(crew, stored, str(crew.diver.pk), seconds=90))


def test_a_briefing_that_led_to_a_change_is_counted_of_those_with_a_briefing(crew, as_person):
    """Noted or not, with a revision after it or not: page, filter and report say k of n, and a row has no guess."""
    assert counted(crew) == (0, 0)
    first = signed_record(crew)
    assert ([row.led_to_a_change for row in rows(crew)], counted(crew)) == ([None], (0, 0))
    briefed(crew, first)
    assert ([row.led_to_a_change for row in rows(crew)], counted(crew)) == ([False], (0, 1))
    revised(crew, first)
    assert ([row.led_to_a_change for row in rows(crew)], counted(crew)) == ([True], (1, 1))
    assert rows(crew)[0].briefing_s is None, "the revision that stands has not been briefed itself"
    client = as_person(crew.chief)
    page = " ".join(client.get("/review/").content.decode().split())
    assert '<dt>The briefing led to a change</dt><dd><a href="?changed=on">1 of 1</a>' in page
    for asked, number in ({"changed": "on"}, 1), ({"changed": "on", "unbriefed": "on"}, 1), ({"changed": ""}, 1):
        assert assessments(crew.chief, asked).count() == number
    work_out_again(crew.agency)
    assert counted(crew) == (1, 1)


def test_a_later_revision_without_a_briefing_before_it_is_no_change_by_one(crew):
    """A round on the second revision that nothing followed."""
    second = revised(crew, signed_record(crew))
    briefed(crew, second)
    assert [row.led_to_a_change for row in rows(crew)] == [False]


def counted(crew):
    found = summary(assessments(crew.chief, {}), 0, {}, MARKED)
    return found.changed, found.ever_briefed


def test_another_way_of_working_out_works_out_all_again(crew, monkeypatch):
    """After an upgrade that counts more, no row of the former way is left."""
    received(crew)
    catch_up(crew.agency)
    InForce.objects.update(unticked=77)
    assert [row.unticked for row in rows(crew)] == [77]
    monkeypatch.setattr(in_force, "WAY", in_force.WAY + 1)
    assert [row.unticked for row in rows(crew)] != [77]
    assert InForce.objects.count() == 1
