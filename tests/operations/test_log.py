"""The conditions log: a line is added once, stays as it was sent, and reaches every tablet of the operation."""

import json
from uuid import uuid4

import pytest
from django.db import IntegrityError, connection, transaction

from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.record import canonical, digest
from opsrisk.ledger.models import Entry
from opsrisk.operations.feed import feed
from opsrisk.operations.log_actions import receive_line
from opsrisk.operations.models import LogEntry, Operation
from opsrisk.operations.receipts import KeyReused
from opsrisk.operations.void_actions import state, void_record
from tests.operations.sending import ASSESSED, RECEIVED, received

AT = ASSESSED.isoformat()
CONTENT = {
    "reading": {
        "field": "readings.current",
        "reading": {"value": "1.4", "unit": "kn", "how": "measured", "at": AT},
    },
    "recall": {
        "from": "divers",
        "to": "hold",
        "because": "Current 1.4 kn",
        "reading": "00000000-0000-4000-8000-000000000001",
    },
    "acknowledged": {"recall": "00000000-0000-4000-8000-000000000002", "after_s": 7},
    "photo": {
        "id": "00000000-0000-4000-8000-000000000003",
        "sha256": "0" * 64,
        "caption": "The entry point",
        "taken_at": AT,
    },
}


def line(person, operation=None, kind="reading", **changes):
    named = {"id": str(operation.pk if operation else uuid4()), "title": "Search", "site": None, "place": "Weir"}
    device = {"id": "tablet 2", "client_version": "1", "offset_s": 0}
    made = {"format": "opsrisk.log/1", "id": str(uuid4()), "operation": named, "kind": kind, "at": AT}
    return made | {"by": str(person.pk), "device": device, "content": CONTENT[kind]} | changes


def add(person, made):
    return receive_line(body=canonical(made), by=person, at=RECEIVED)


@pytest.mark.parametrize("kind", CONTENT)
def test_a_line_is_stored_as_it_was_sent_with_its_ledger_entry(crew, kind):
    """The receipt names the digest, the log says who added it."""
    made = line(crew.diver, kind=kind)
    status, receipt = add(crew.diver, made)
    stored = LogEntry.objects.get()
    entry = Entry.objects.get(index=receipt["entry"])
    assert (status, receipt["digest"]) == (201, digest(made))
    assert json.loads(stored.text) == made
    assert (entry.verb, entry.actor, entry.subject_id) == (f"log_{kind}", str(crew.diver.pk), made["id"])


def test_the_same_line_again_is_the_same_line(crew):
    """Sent three times, stored and logged once; the answer is the first one's."""
    made = line(crew.diver)
    answers = [add(crew.diver, made) for _ in range(3)]
    assert [status for status, _ in answers] == [201, 200, 200]
    assert answers[0][1] == answers[2][1]
    assert LogEntry.objects.count() == Entry.objects.filter(verb="log_reading").count() == 1


def test_another_line_under_the_same_id_is_refused(crew):
    """Lines are added, never replaced."""
    made = line(crew.diver)
    add(crew.diver, made)
    with pytest.raises(KeyReused):
        add(crew.diver, made | {"at": RECEIVED.isoformat()})


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"format": "opsrisk.log/2"}, "format"),
        ({"kind": "rumour"}, "kind"),
        ({"at": "yesterday"}, "at"),
        ({"content": CONTENT["reading"] | {"field": "readings.mood"}}, "content.field"),
        ({"content": {"field": "readings.current", "reading": {"value": "99", "unit": "kn"}}}, "content.reading"),
        ({"kind": "acknowledged", "content": CONTENT["acknowledged"] | {"after_s": -1}}, "content.after_s"),
    ],
)
def test_a_wrong_line_is_refused_by_field(crew, changes, field):
    """With what was given and what is accepted; nothing is stored."""
    with pytest.raises(Refused) as refused:
        add(crew.diver, line(crew.diver) | changes)
    assert refused.value.errors[0][0].startswith(field)
    assert not LogEntry.objects.exists()


def test_nobody_writes_in_somebody_elses_name(crew):
    """The line names who wrote it."""
    with pytest.raises(Refused, match="by"):
        add(crew.deputy, line(crew.diver))


def test_a_neighbour_adds_nothing_to_an_operation(crew):
    """Another agency's operation is not there."""
    operation = received(crew).operation
    with pytest.raises(Refused, match=r"operation\.id"):
        add(crew.neighbour_chief, line(crew.neighbour_chief, operation))
    with pytest.raises(NotAllowed):
        add(crew.installer, line(crew.installer))


def test_a_line_may_come_before_the_record_of_its_operation(crew):
    """The operation is opened by the line; its kind comes with the record."""
    named = {"id": "5f0c7a52-0f43-4a44-9d0b-1a8f8f0f7a11", "title": "Search", "site": None, "place": "Weir"}
    add(crew.diver, line(crew.diver, operation=None) | {"operation": named})
    assert Operation.objects.get().kind == "unknown"
    received(crew, operation=named)
    assert Operation.objects.get().kind == "training"


def test_every_tablet_hears_what_is_new_and_only_that(crew):
    """Record, later line, later signature: asked from the last place on, nothing twice and nothing left out."""
    stored = received(crew)
    first = feed(stored.operation, -1)
    assert [one["digest"] for one in first["revisions"]] == [stored.digest]
    made = line(crew.diver, stored.operation)
    add(crew.diver, made)
    second = feed(stored.operation, first["upto"])
    assert [one["line"] for one in second["lines"]] == [made]
    assert second["revisions"] == []
    third = feed(stored.operation, second["upto"])
    assert (third["lines"], third["revisions"], third["upto"]) == ([], [], second["upto"])


def test_a_cut_answer_jumps_over_nothing(crew, monkeypatch):
    """More lines than fit: the next question brings the rest, and the revision among them."""
    monkeypatch.setattr("opsrisk.operations.feed.MOST", 2)
    named = {"id": "5f0c7a52-0f43-4a44-9d0b-1a8f8f0f7a11", "title": "Search", "site": None, "place": "Weir"}
    for _ in range(3):
        add(crew.diver, line(crew.diver) | {"operation": named})
    stored = received(crew, operation=named)
    seen, after = [], -1
    for _ in range(4):
        part = feed(stored.operation, after)
        seen += [one["line"]["id"] for one in part["lines"]] + [one["digest"] for one in part["revisions"]]
        after = part["upto"]
    assert len(seen) == len(set(seen)) == 4


def test_the_database_refuses_to_change_or_delete_a_line(crew):
    """The log is only added to."""
    add(crew.diver, line(crew.diver))
    with pytest.raises(IntegrityError), transaction.atomic():
        LogEntry.objects.update(text="{}")
    with pytest.raises(IntegrityError), transaction.atomic():
        LogEntry.objects.all()._raw_delete("default")


def after_query(number, act):
    """Somebody else commits between two of the questions that one answer is made of."""
    seen = iter(range(1000))

    def run(execute, sql, params, many, context):
        result = execute(sql, params, many, context)
        if next(seen) == number:
            act()
        return result

    return connection.execute_wrapper(run)


@pytest.mark.parametrize("number", range(5))
def test_what_arrives_while_an_answer_is_made_comes_with_the_next(crew, number):
    """A line and then a void, committed after any of the answer's queries: the tablet has both after asking again."""
    stored = received(crew)
    made = line(crew.diver, stored.operation)
    after = feed(stored.operation, -1)["upto"]
    fired = []

    def act():
        if not fired:
            fired.append(number)
            add(crew.diver, made)
            void_record(
                assessment=stored, shown=state(stored), reason="Read off the wrong gauge", by=crew.chief, at=RECEIVED
            )

    with after_query(number, act):
        first = feed(stored.operation, after)
    second = feed(stored.operation, first["upto"])
    heard = [*first["lines"], *second["lines"]]
    assert fired, "fewer queries than this: lower the range"
    assert [one["line"] for one in heard] == [made]
    known = {one["digest"]: one["void"] for one in [*first["revisions"], *second["revisions"]]}
    assert known[stored.digest]["reason"] == "Read off the wrong gauge"
