"""Closing an operation."""

from datetime import timedelta

import pytest

from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from opsrisk.operations import actions
from opsrisk.operations.models import Operation
from tests.operations.photos import announce, jpeg, manifest
from tests.operations.sending import ASSESSED, RECEIVED, received
from tests.operations.test_log import add, line

AHEAD = (RECEIVED + timedelta(days=90 * 365)).isoformat()


def close(crew, **changes):
    fields = {
        "operation": received(crew).operation,
        "outcome": "Found; nobody hurt",
        "by": crew.supervisor,
        "at": RECEIVED,
    }
    return actions.close_operation(**(fields | changes))


def test_closing_keeps_the_outcome_and_logs_it(crew):
    """In words."""
    operation = close(crew)
    assert (operation.closed_at, operation.outcome) == (RECEIVED, "Found; nobody hurt")
    assert Entry.objects.filter(verb="close_operation").count() == 1


def test_an_operation_is_closed_once(crew):
    """The first outcome stands."""
    operation = close(crew)
    with pytest.raises(actions.AlreadyClosed):
        close(crew, operation=operation, outcome="Something else")


@pytest.mark.parametrize("changes", [{"outcome": "  "}, {"at": RECEIVED - timedelta(days=9)}])
def test_an_outcome_is_said_and_comes_after_the_call(crew, changes):
    """Otherwise it is refused."""
    with pytest.raises(Refused):
        close(crew, **changes)


@pytest.mark.parametrize("who", ["diver", "safety", "neighbour_supervisor"])
def test_others_close_nothing(crew, who):
    """Supervisors and chiefs of the same agency do."""
    with pytest.raises(NotAllowed):
        close(crew, by=crew.people[who])


def test_a_record_that_arrives_after_closing_is_taken(crew):
    """It was signed before; the tablet was out of reach."""
    first = received(crew)
    close(crew, operation=first.operation)
    assert received(crew, number=2, revision=2, previous=first.digest).revision == 2


@pytest.mark.parametrize("first", ["a line", "a photo"])
def test_a_tablet_whose_clock_is_years_ahead_keeps_no_operation_open(crew, first):
    """Whatever opened it, nobody was called after it arrived; what the tablet wrote stays as it was signed."""
    named = Operation(title="Search", place="Weir")
    if first == "a line":
        add(crew.diver, line(crew.diver, named, at=AHEAD))
    else:
        announce(crew.diver, manifest(crew.diver, named, jpeg(), taken_at=AHEAD))
    operation = Operation.objects.get(pk=named.pk)
    assert operation.called_at == RECEIVED
    assert close(crew, operation=operation).closed_at == RECEIVED


def test_a_record_that_arrives_after_its_logs_operation_was_closed_is_taken(crew):
    """Its later call does not put the call behind the closing."""
    named = Operation(title="Search", place="Weir")
    early = (ASSESSED - timedelta(hours=3)).isoformat()
    add(crew.diver, line(crew.diver, named, "photo", at=early))
    closing = ASSESSED - timedelta(hours=1)
    close(crew, operation=Operation.objects.get(pk=named.pk), at=closing)
    fields = {"id": str(named.pk), "title": "Search", "site": None, "place": "Weir"}
    stored = received(crew, number=2, operation=fields)
    assert stored.operation_id == named.pk
    assert (stored.operation.called_at, stored.operation.closed_at) == (closing, closing)
