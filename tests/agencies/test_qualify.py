"""Qualifications."""

from datetime import date

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.models import Qualification
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.ledger.models import Entry
from tests.cast import NOON


def qualify(cast, **changes):
    fields = {
        "person": cast.diver,
        "kind": "diver",
        "limits": {"depth": {"value": "60", "unit": "ft"}},
        "expires": date(2027, 1, 1),
        "by": cast.safety,
        "at": NOON,
    }
    return actions.qualify(**(fields | changes))


def test_a_qualification_is_recorded_with_its_limits(cast):
    """And is in the ledger."""
    held = qualify(cast)
    assert (held.kind, held.limits["depth"]["value"], held.expires) == ("diver", "60", date(2027, 1, 1))
    assert '"kind":"diver"' in Entry.objects.get(verb="qualify").detail


def test_renewing_changes_the_one_there_is(cast):
    """One person holds a kind once."""
    qualify(cast)
    qualify(cast, expires=date(2028, 1, 1))
    assert Qualification.objects.get().expires == date(2028, 1, 1)


@pytest.mark.parametrize("who", ["supervisor", "diver", "neighbour_chief"])
def test_others_qualify_nobody(cast, who):
    """Only chief and safety officer of the same agency."""
    with pytest.raises(NotAllowed):
        qualify(cast, by=cast.people[who])
    assert not Qualification.objects.exists()


def test_page_records_a_depth_limit(cast, as_person):
    """In feet, as the trade says it."""
    form = {"kind": "diver", "depth_limit_ft": "60", "expires": "2027-01-01"}
    assert as_person(cast.safety).post(f"/people/{cast.diver.pk}/qualify/", form).status_code == 302
    assert Qualification.objects.get().limits == {"depth": {"value": "60", "unit": "ft"}}


def test_page_refuses_a_negative_depth(cast, as_person):
    """The field says what is accepted."""
    answer = as_person(cast.safety).post(f"/people/{cast.diver.pk}/qualify/", {"kind": "diver", "depth_limit_ft": "-1"})
    assert answer.status_code == 422
    assert answer.context["form"].errors["depth_limit_ft"]
