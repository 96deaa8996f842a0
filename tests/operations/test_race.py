"""Many at once: still one record, one entry, one chain of revisions."""

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import connection

from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.actions import verify
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Assessment, Operation, Photo, Receipt, Signature
from opsrisk.operations.receipts import StillRunning
from opsrisk.operations.void_actions import AlreadyVoid, state, void_record
from tests.operations.photos import announce, jpeg, manifest
from tests.operations.sending import ASSESSED, body, received, record, send, sign, signed

SENDERS = 50
pytestmark = pytest.mark.django_db(transaction=True)


def together(count, act):
    """Each call in a thread and database connection of its own."""

    def one(number):
        try:
            return act(number)
        except Refused as refused:
            return refused
        finally:
            connection.close()

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(one, range(count)))


def test_fifty_identical_requests_give_one_record(crew):
    """Each gets the one answer, or is told that the first is still being answered."""
    content = signed(crew)
    answers = together(SENDERS, lambda _: send(crew, content))
    stored = [answer for answer in answers if not isinstance(answer, StillRunning)]
    assert stored, answers
    assert {answer.response for answer in stored} == {Assessment.objects.get().receipt}
    assert (Operation.objects.count(), Receipt.objects.count()) == (1, 1)
    assert Entry.objects.filter(verb="receive_record").count() == 1
    assert verify().problems == ()


def test_the_same_record_under_fifty_keys_gives_one_record(crew):
    """All of them get its receipt."""
    content = signed(crew)
    answers = together(SENDERS, lambda number: send(crew, content, key=f"k{number}"))
    assert {answer.response for answer in answers} == {Assessment.objects.get().receipt}
    assert sorted(answer.status for answer in answers) == [200] * (SENDERS - 1) + [201]


def test_of_ten_tablets_revising_one_record_one_supersedes_it(crew):
    """The others are kept as rivals."""
    first = received(crew)
    contents = [signed(crew, number=number + 2, revision=2, previous=first.digest) for number in range(10)]
    answers = together(10, lambda number: send(crew, contents[number], key=f"k{number}"))
    assert [answer.status for answer in answers] == [201] * 10
    assert sorted(json.loads(answer.response)["rival"] for answer in answers) == [False] + [True] * 9
    first.refresh_from_db()
    assert not first.superseded_by.rival
    assert verify().problems == ()


def test_of_fifty_parallel_signatures_of_one_person_exactly_one_is_kept(crew):
    """Each is a valid signature of its own moment; the record gets one of that meaning, and each answer names that one."""
    made = record(crew)
    send(crew, body(made, sign(made, crew.supervisor)), key="first")
    at = [ASSESSED + timedelta(seconds=number) for number in range(SENDERS)]
    contents = [body(made, sign(made, crew.supervisor), sign(made, crew.safety, "reviewed", at=one)) for one in at]
    answers = together(SENDERS, lambda number: send(crew, contents[number], key=f"k{number}"))
    assert [answer.status for answer in answers] == [200] * SENDERS
    kept = Signature.objects.get(meaning="reviewed")
    assert kept.at in at
    assert len({answer.response for answer in answers}) == 1
    assert Entry.objects.filter(verb="receive_signatures").count() == 1
    assert verify().problems == ()


def test_of_fifty_people_deciding_the_next_revision_at_once_one_stands(crew):
    """Fifty tablets sign their own second revision: exactly one supersedes the first, the others are kept as rivals."""
    first = received(crew)
    contents = [signed(crew, number=number + 2, revision=2, previous=first.digest) for number in range(SENDERS)]
    answers = together(SENDERS, lambda number: send(crew, contents[number], key=f"k{number}"))
    assert [answer.status for answer in answers] == [201] * SENDERS
    assert sorted(json.loads(answer.response)["rival"] for answer in answers) == [False] + [True] * (SENDERS - 1)
    first.refresh_from_db()
    assert not first.superseded_by.rival


def test_of_fifty_voids_at_once_exactly_one_holds(crew):
    """One person, one reason, one entry; the others are told that it is void already."""
    stored = received(crew)
    shown = state(stored)

    def act(number):
        reason = f"Somebody else was quicker, number {number}"
        return void_record(assessment=stored, shown=shown, reason=reason, by=crew.chief, at=ASSESSED)

    answers = together(SENDERS, act)
    assert sum(isinstance(answer, AlreadyVoid) for answer in answers) == SENDERS - 1
    stored.refresh_from_db()
    assert stored.void_reason == next(one.void_reason for one in answers if not isinstance(one, AlreadyVoid))
    assert Entry.objects.filter(verb="void_record").count() == 1


def test_of_ten_photos_announced_at_once_only_those_with_room_are_let_in(crew, settings):
    """Each of an operation of its own, so that no lock of an operation keeps them apart; there is room for three."""
    data, operations = jpeg(), [Operation(title=f"Search {number}", place="Weir") for number in range(10)]
    settings.PHOTOS_BYTES = 3 * len(data) + 10
    made = [manifest(crew.supervisor, operation, data, number) for number, operation in enumerate(operations)]
    answers = together(10, lambda number: announce(crew.supervisor, made[number]))
    assert sum(isinstance(answer, Refused) for answer in answers) == 7, answers
    assert Photo.objects.count() == 3
