"""One key, one answer; one record, once."""

import json
from datetime import timedelta

import pytest

from opsrisk.agencies.refusals import Refused
from opsrisk.operations.models import Assessment, Receipt
from opsrisk.operations.receipts import KeyMissing, KeyReused, StillRunning
from tests.operations.sending import RECEIVED, body, record, send, sign, signed


@pytest.mark.parametrize("key", ["", "x" * 121, "clé", "two\nlines"])
def test_a_request_without_a_usable_key_is_refused(crew, key):
    """Without one it could be stored twice."""
    with pytest.raises(KeyMissing, match="Idempotency-Key"):
        send(crew, signed(crew), key=key)
    assert not Assessment.objects.exists()


def test_repeating_a_request_gives_the_stored_answer(crew):
    """Word for word, however often, and nothing is decided again."""
    first = send(crew, signed(crew))
    for day in range(3):
        again = send(crew, signed(crew), at=RECEIVED + timedelta(days=day))
        assert (again.status, again.response, again.replayed) == (first.status, first.response, True)
    assert Assessment.objects.count() == 1


def test_a_key_with_another_body_is_refused(crew):
    """The first answer stands."""
    send(crew, signed(crew))
    with pytest.raises(KeyReused):
        send(crew, signed(crew, number=2))
    assert Assessment.objects.count() == 1


def test_while_the_first_is_running_the_second_waits(crew):
    """And gets the key when the first has plainly died."""
    send(crew, signed(crew))
    Receipt.objects.update(status=None, started_at=RECEIVED)
    with pytest.raises(StillRunning):
        send(crew, signed(crew), at=RECEIVED + timedelta(seconds=59))
    answer = send(crew, signed(crew), at=RECEIVED + timedelta(seconds=61))
    assert answer.status == 200  # the record was stored before its process died
    assert Assessment.objects.count() == 1


def test_a_refused_request_frees_its_key(crew):
    """The tablet's user may put it right and send again."""
    made = record(crew)
    with pytest.raises(Refused):
        send(crew, body(made | {"revision": 0}, sign(made, crew.supervisor)))
    assert not Receipt.objects.exists()
    assert send(crew, body(made, sign(made, crew.supervisor))).status == 201


def test_the_same_record_under_another_key_is_recognised(crew):
    """It is answered with the first receipt."""
    first = send(crew, signed(crew), key="k1")
    second = send(crew, signed(crew), key="k2")
    assert (second.status, second.response) == (200, first.response)
    assert Assessment.objects.count() == 1


def test_another_record_under_the_same_id_is_refused(crew):
    """An edit after sending makes a new record."""
    send(crew, signed(crew), key="k1")
    with pytest.raises(KeyReused, match=r"record\.id"):
        send(crew, signed(crew, made_at="2026-06-01T14:30:00+00:00"), key="k2")


def test_two_agencies_may_use_the_same_key(crew):
    """One agency's keys tell another nothing."""
    send(crew, signed(crew))
    with pytest.raises(Refused) as refused:
        send(crew, signed(crew), by=crew.neighbour_supervisor)
    assert not isinstance(refused.value, KeyReused | StillRunning)


def test_the_answer_is_json_that_names_the_record(crew):
    """The tablet compares the digest before it lets go of its copy."""
    answer = json.loads(send(crew, signed(crew)).response)
    stored = Assessment.objects.get()
    assert (answer["format"], answer["id"], answer["digest"]) == ("opsrisk.receipt/2", str(stored.pk), stored.digest)
