"""A change makes the next revision; nothing that was signed is overwritten."""

import json

import pytest
from django.db import IntegrityError, transaction

from opsrisk.agencies.refusals import Refused
from opsrisk.operations.models import Assessment, Signature
from tests.operations.sending import received, send, signed, situation


def test_the_next_revision_supersedes_the_one_it_names(crew):
    """The old one stays readable."""
    first = received(crew)
    second = received(crew, number=2, revision=2, previous=first.digest)
    first.refresh_from_db()
    assert first.superseded_by == second
    assert list(Assessment.objects.current()) == [second]
    assert json.loads(first.record)["revision"] == 1


def test_a_rival_revision_is_kept_and_supersedes_nothing(crew):
    """Two tablets revised the same record apart: both stand until a person decides."""
    first = received(crew)
    second = received(crew, number=2, revision=2, previous=first.digest)
    worse = situation(readings__current={"value": "2", "unit": "kn", "how": "estimated"})
    rival = received(crew, worse, number=3, revision=2, previous=first.digest)
    first.refresh_from_db()
    assert first.superseded_by == second
    assert rival.rival
    assert set(Assessment.objects.current()) == {second, rival}


def test_a_merged_revision_supersedes_both(crew):
    """Previous and merged ones give way to the one that puts them together."""
    first = received(crew)
    second = received(crew, number=2, revision=2, previous=first.digest)
    rival = received(crew, situation(hazards__contamination="low"), number=3, revision=2, previous=first.digest)
    merged = received(crew, number=4, revision=3, previous=second.digest, merges=[rival.digest])
    assert not merged.rival
    assert list(Assessment.objects.current()) == [merged]
    assert set(merged.supersedes.all()) == {second, rival}


@pytest.mark.parametrize("merges", [["0" * 64], ["short"], ["a" * 64, "a" * 64]])
def test_what_is_merged_has_to_be_here(crew, merges):
    """An unknown digest, none at all, or one twice is refused by field."""
    first = received(crew)
    with pytest.raises(Refused, match=r"record\.merges"):
        send(crew, signed(crew, number=2, revision=2, previous=first.digest, merges=merges))


def test_a_second_first_revision_of_an_operation_is_a_rival(crew):
    """It names no previous one although there is one."""
    received(crew)
    assert received(crew, situation(hazards__contamination="low"), number=2).rival


@pytest.mark.parametrize(
    "changes, field",
    [
        ({"revision": 2, "previous": None}, "record.previous"),
        ({"revision": 2, "previous": "0" * 64}, "record.previous"),
        ({"revision": 3}, "record.revision"),
        ({"revision": 1}, "record.revision"),
    ],
)
def test_a_revision_follows_the_one_it_names(crew, changes, field):
    """A gap is refused by field."""
    first = received(crew)
    with pytest.raises(Refused) as refused:
        send(crew, signed(crew, number=2, **({"previous": first.digest} | changes)))
    assert [error[0] for error in refused.value.errors] == [field]


def test_the_previous_record_is_one_of_the_same_operation(crew):
    """Another operation's digest will not do."""
    first = received(crew)
    other = {"id": "00000000-0000-4000-8000-000000000001", "title": "Other", "site": None, "place": ""}
    with pytest.raises(Refused, match=r"record\.previous"):
        send(crew, signed(crew, number=2, revision=2, previous=first.digest, operation=other))


# What may still happen to it, each once: tests/house/test_refusals_stand.py holds that neither is taken back.
LATER = {"superseded_by_id", "voided_at", "voided_by_id", "void_reason"}
FIELDS = [field.attname for field in Assessment._meta.concrete_fields if field.attname not in {"id", *LATER}]


@pytest.mark.parametrize("field", FIELDS)
def test_the_database_refuses_to_change_any_field_of_a_signed_assessment(crew, field):
    """Every column but those that say what came after."""
    stored = received(crew)
    other = received(crew, number=2, operation=_other_operation())
    value = {
        "operation_id": other.operation_id,
        "protocol_id": "00000000-0000-4000-8000-000000000009",
        "made_by_id": crew.deputy.pk,
        "received_by_id": crew.deputy.pk,
        "override_second_id": crew.deputy.pk,
        "revision": 9,
        "score": 99,
        "differs": True,
        "rival": True,
        "assessed_at": stored.received_at,
        "received_at": stored.assessed_at,
    }.get(field, "forged")
    with pytest.raises(IntegrityError), transaction.atomic():
        Assessment.objects.filter(pk=stored.pk).update(**{field: value})


def test_the_database_refuses_to_supersede_twice_or_to_take_it_back(crew):
    """What came after came after."""
    first = received(crew)
    received(crew, number=2, revision=2, previous=first.digest)
    for value in (None, first):
        with pytest.raises(IntegrityError), transaction.atomic():
            Assessment.objects.filter(pk=first.pk).update(superseded_by=value)


@pytest.mark.parametrize("rows", [Assessment, Signature])
def test_the_database_refuses_to_delete(crew, rows):
    """Neither record nor signature."""
    received(crew)
    with pytest.raises(IntegrityError), transaction.atomic():
        rows.objects.all()._raw_delete("default")


def test_the_database_refuses_to_change_a_signature(crew):
    """Not even its spelling."""
    received(crew)
    with pytest.raises(IntegrityError), transaction.atomic():
        Signature.objects.update(name="Somebody Else")


def _other_operation():
    return {"id": "00000000-0000-4000-8000-000000000001", "title": "Other", "site": None, "place": ""}
