"""Enrolling a person."""

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from tests.cast import NOON, PASSWORD


def enrol(cast, **changes):
    fields = {
        "agency": cast.agency,
        "email": "Nia@Tarrow.example",
        "name": "Nia Holt",
        "role": "member",
        "password": PASSWORD,
        "by": cast.chief,
        "at": NOON,
    }
    return actions.enrol(**(fields | changes))


def test_a_chief_enrols_a_person_who_can_then_sign_in(cast, client):
    """The address is kept in small letters, the password as its Argon2 hash."""
    person = enrol(cast)
    assert (person.email, person.agency, person.role) == ("nia@tarrow.example", cast.agency, "member")
    assert person.password.startswith("argon2$argon2id$")
    answer = client.post("/accounts/login/", {"login": "nia@tarrow.example", "password": PASSWORD})
    assert (answer.status_code, answer["Location"]) == (302, "/")


def test_enrolling_is_in_the_ledger_without_the_password(cast):
    """One entry, and no secret in it."""
    person = enrol(cast)
    entry = Entry.objects.about("agencies.person", str(person.pk)).get()
    assert (entry.verb, entry.actor, entry.agency_id) == ("enrol", str(cast.chief.pk), cast.agency.pk)
    assert PASSWORD not in entry.detail


@pytest.mark.parametrize("who", ["supervisor", "diver", "safety", "neighbour_chief"])
def test_others_do_not_enrol(cast, who):
    """Only the chief of the same agency."""
    with pytest.raises(NotAllowed):
        enrol(cast, by=cast.people[who])
    assert not Person.objects.filter(name="Nia Holt").exists()


@pytest.mark.parametrize(
    "field, given, accepted",
    [
        ("email", "no address", "valid email"),
        ("email", "ines@tarrow.example", "already exists"),
        ("role", "admiral", "not a valid choice"),
        ("name", "", "cannot be blank"),
        ("password", "otter", "at least 15 characters"),
        ("password", "nia@tarrow.example", "too similar"),
    ],
)
def test_bad_input_is_refused_by_field(cast, field, given, accepted):
    """The message names the field and what is accepted; a password is never repeated."""
    with pytest.raises(Refused) as refused:
        enrol(cast, **{field: given})
    assert [error[0] for error in refused.value.errors] == [field]
    assert accepted in refused.value.errors[0][2]
    assert field != "password" or given not in str(refused.value)


def test_page_enrols(cast, as_person):
    """The chief's page does the same."""
    form = {"name": "Nia Holt", "email": "nia@tarrow.example", "role": "member", "password": PASSWORD}
    answer = as_person(cast.chief).post("/people/enrol/", form)
    assert (answer.status_code, answer["Location"]) == (302, "/people/")
    assert Person.objects.get(name="Nia Holt").agency == cast.agency


def test_page_shows_the_refusal_beside_its_field(cast, as_person):
    """What was typed stays, and nothing is stored."""
    form = {"name": "Nia Holt", "email": "ines@tarrow.example", "role": "member", "password": PASSWORD}
    answer = as_person(cast.chief).post("/people/enrol/", form)
    assert answer.status_code == 422
    assert answer.context["form"].errors["email"]
    assert b'value="Nia Holt"' in answer.content
    assert not Person.objects.filter(name="Nia Holt").exists()
