"""Ending a person's access."""

from datetime import timedelta

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.permissions import NotAllowed
from tests.cast import NOON, public_key_of


def test_retiring_ends_every_open_session_at_once(cast, as_person):
    """The next request of a retired person is a stranger's."""
    browser = as_person(cast.diver)
    assert browser.get("/people/").status_code == 200
    actions.retire(person=cast.diver, by=cast.chief, at=NOON)
    answer = browser.get("/people/")
    assert (answer.status_code, answer["Location"]) == (302, "/accounts/login/?next=/people/")


def test_retiring_ends_tokens(cast, client):
    """A program reads no longer."""
    _, secret = actions.make_token(person=cast.diver, name="board", by=cast.diver, at=NOON)
    headers = {"Authorization": f"Bearer {secret}"}
    assert client.get("/api/v1/people/", headers=headers).status_code == 200
    actions.retire(person=cast.diver, by=cast.chief, at=NOON)
    assert client.get("/api/v1/people/", headers=headers).status_code == 401


def test_signatures_made_before_still_hold(cast):
    """What was signed in service stays signed; nothing later does."""
    actions.retire(person=cast.diver, by=cast.chief, at=NOON)
    cast.diver.refresh_from_db()
    assert cast.diver.key_at(public_key_of(cast.diver), NOON - timedelta(hours=1))
    assert not cast.diver.key_at(public_key_of(cast.diver), NOON + timedelta(seconds=1))


def test_nobody_is_retired_twice(cast):
    """The time of the first stands."""
    actions.retire(person=cast.diver, by=cast.chief, at=NOON)
    with pytest.raises(actions.AlreadyRetired):
        actions.retire(person=cast.diver, by=cast.chief, at=NOON + timedelta(days=1))


@pytest.mark.parametrize("who", ["supervisor", "safety", "neighbour_chief"])
def test_others_do_not_retire(cast, who):
    """Only the chief of the same agency."""
    with pytest.raises(NotAllowed):
        actions.retire(person=cast.diver, by=cast.people[who], at=NOON)
    cast.diver.refresh_from_db()
    assert cast.diver.is_active


def test_page_asks_before_it_retires(cast, as_person):
    """Looking changes nothing; the button does."""
    browser = as_person(cast.chief)
    page = f"/people/{cast.diver.pk}/retire/"
    assert b"End the access of Mara Quill now" in browser.get(page).content
    cast.diver.refresh_from_db()
    assert cast.diver.is_active
    assert browser.post(page).status_code == 302
    cast.diver.refresh_from_db()
    assert not cast.diver.is_active
