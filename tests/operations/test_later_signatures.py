"""Signatures may be given after the record was sent: they are added, and the receipt lists the digest of each."""

import json

import pytest
from django.db import IntegrityError, transaction

from opsrisk.assessment.record import digest
from opsrisk.ledger.models import Entry
from opsrisk.operations.countersigned import receipt_holds
from opsrisk.operations.models import Assessment, Signature
from tests.operations.sending import body, record, send, sign


def test_a_later_signature_is_added_and_named_in_the_receipt(crew):
    """The record stays one; the log says who added what."""
    made = record(crew)
    decided, briefed = sign(made, crew.supervisor), sign(made, crew.diver, "briefed")
    first = json.loads(send(crew, body(made, decided), key="k1").response)
    second = json.loads(send(crew, body(made, decided, briefed), key="k2").response)
    assert first["signatures"] == [digest(decided)]
    assert second["signatures"] == sorted([digest(decided), digest(briefed)])
    assert receipt_holds(first) and receipt_holds(second)
    assert Assessment.objects.get().signatures.count() == 2
    assert Entry.objects.filter(verb="receive_signatures").count() == 1


def test_a_subset_that_arrives_late_takes_nothing_away(crew):
    """The request with fewer signatures was overtaken: its receipt lists all that are here."""
    made = record(crew)
    decided, briefed = sign(made, crew.supervisor), sign(made, crew.diver, "briefed")
    whole = json.loads(send(crew, body(made, decided, briefed), key="k2").response)
    late = send(crew, body(made, decided), key="k1")
    assert late.status == 200
    assert json.loads(late.response)["signatures"] == whole["signatures"]
    assert Signature.objects.count() == 2
    assert not Entry.objects.filter(verb="receive_signatures").exists()


def test_a_receipt_whose_list_was_shortened_does_not_hold(crew):
    """The list is part of what the server signs."""
    made = record(crew)
    answer = json.loads(send(crew, body(made, sign(made, crew.supervisor))).response)
    assert not receipt_holds(answer | {"signatures": []})


def test_a_stored_signature_is_not_replaced(crew):
    """The same person and meaning twice is refused by the database, whoever asks."""
    made = record(crew)
    send(crew, body(made, sign(made, crew.supervisor)))
    one = Signature.objects.get()
    one.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        one.save(force_insert=True)
