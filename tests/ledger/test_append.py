"""An entry and what it records stand or fall together."""

import pytest
from django.db import IntegrityError, connection, transaction

from opsrisk.ledger import actions
from opsrisk.ledger.models import Entry, Head
from tests.cast import NOON

pytestmark = pytest.mark.django_db


def append(number: int = 0, **changes):
    fields = {
        "by": "p1",
        "by_name": "Ines Varga",
        "at": NOON,
        "agency_id": None,
        "verb": "test",
        "subject_type": "thing",
        "subject_id": str(number),
        "detail": {"number": number},
    }
    with transaction.atomic():
        return actions.append(**(fields | changes))


def test_entries_are_numbered_from_zero_without_gaps():
    """The index is the place in the tree."""
    assert [append(number).index for number in range(5)] == [0, 1, 2, 3, 4]


@pytest.mark.django_db(transaction=True)
def test_appending_outside_a_transaction_is_refused():
    """Otherwise the business write could be kept and its entry lost."""
    with pytest.raises(actions.NotInTransaction):
        actions.append(
            by="p1",
            by_name="",
            at=NOON,
            agency_id=None,
            verb="test",
            subject_type="thing",
            subject_id="1",
            detail={},
        )
    assert Entry.objects.count() == 0


def test_a_failing_entry_undoes_the_business_write():
    """What cannot be logged is not done."""
    with pytest.raises(ValueError, match=r"document\.depth"), transaction.atomic():
        Head.objects.update_or_create(pk=1, defaults={"root": "business write"})
        append(detail={"depth": 1.5})  # a float has no canonical form
    assert not Head.objects.filter(root="business write").exists()


@pytest.mark.parametrize("statement", ["UPDATE ledger_entry SET verb = 'forged'", "DELETE FROM ledger_entry"])
def test_the_database_refuses_to_change_or_delete_an_entry(statement):
    """Neither the application nor its database account can rewrite what happened."""
    append()
    with pytest.raises(IntegrityError, match="ledger entries are never"), transaction.atomic():
        connection.cursor().execute(statement)
    assert Entry.objects.get().verb == "test"


def test_the_entry_keeps_event_time_and_logged_time_apart():
    """A tablet may have been offline for days."""
    entry = append()
    entry.refresh_from_db()
    assert entry.at == NOON
    assert entry.logged_at > NOON
