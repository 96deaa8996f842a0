"""Changing what a person is."""

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from tests.cast import NOON


def test_a_chief_makes_a_member_supervisor(cast, as_person):
    """Old and new role are in the ledger."""
    assert as_person(cast.chief).post(f"/people/{cast.diver.pk}/role/", {"role": "supervisor"}).status_code == 302
    cast.diver.refresh_from_db()
    assert cast.diver.role == "supervisor"
    entry = Entry.objects.get(verb="change_role")
    assert entry.detail == '{"from":"member","to":"supervisor"}'


def test_nobody_changes_their_own_role(cast):
    """It takes somebody else."""
    with pytest.raises(Refused, match="somebody else"):
        actions.change_role(person=cast.chief, role="supervisor", by=cast.chief, at=NOON)


@pytest.mark.parametrize("who", ["supervisor", "diver", "safety", "neighbour_chief"])
def test_others_change_no_roles(cast, who):
    """Only the chief of the same agency."""
    with pytest.raises(NotAllowed):
        actions.change_role(person=cast.deputy, role="chief", by=cast.people[who], at=NOON)


def test_an_unknown_role_is_refused(cast):
    """The message names the field."""
    with pytest.raises(Refused, match="role: given 'admiral'"):
        actions.change_role(person=cast.diver, role="admiral", by=cast.chief, at=NOON)
