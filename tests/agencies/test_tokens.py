"""Tokens: a program reads as its person, and changes nothing."""

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.models import Token
from opsrisk.agencies.permissions import NotAllowed
from tests.cast import NOON


@pytest.fixture
def secret(cast):
    return actions.make_token(person=cast.chief, name="county board", by=cast.chief, at=NOON)[1]


def ask(client, secret, method="get", path="/api/v1/people/", scheme="Bearer"):
    return getattr(client, method)(path, headers={"Authorization": f"{scheme} {secret}"})


def test_only_a_digest_of_the_secret_is_kept(secret):
    """Whoever reads the database cannot use it."""
    token = Token.objects.get()
    assert secret not in str(token.__dict__)


def test_a_token_reads(secret, client):
    """As its person would."""
    assert ask(client, secret).status_code == 200


def test_a_token_writes_nothing(secret, client):
    """It is for reading only."""
    assert ask(client, secret, "post", "/api/v1/records/").status_code == 403


def test_a_revoked_token_opens_nothing(secret, client, cast):
    """From then on."""
    actions.revoke_token(token=Token.objects.get(), by=cast.chief, at=NOON)
    assert ask(client, secret).status_code == 401


@pytest.mark.parametrize("wrong", ["", "wrong", "wrong wrong"])
def test_a_wrong_token_opens_nothing(secret, client, wrong):
    """Nor does half of one."""
    assert ask(client, wrong).status_code == 401
    assert ask(client, secret[:-1]).status_code == 401


def test_nobody_makes_or_revokes_anothers_token(secret, cast, as_person):
    """Not the chief either; a neighbour does not even learn that it exists."""
    with pytest.raises(NotAllowed):
        actions.make_token(person=cast.chief, name="x", by=cast.safety, at=NOON)
    token = Token.objects.get()
    assert as_person(cast.safety).post(f"/me/tokens/{token.pk}/revoke/").status_code == 404
    assert as_person(cast.neighbour_chief).post(f"/me/tokens/{token.pk}/revoke/").status_code == 404
    token.refresh_from_db()
    assert token.revoked_at is None
