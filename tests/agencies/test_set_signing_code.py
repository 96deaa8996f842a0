"""A signing code: the server keeps what checks signatures, never the code."""

import base64
import hashlib
from datetime import timedelta

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from opsrisk.agencies import actions
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from tests.cast import NOON, PASSWORD, public_key_of

CODE, SALT = "otter under ice", base64.b64encode(b"0123456789abcdef").decode()


def key_from(code: str) -> str:
    """The derivation of the tablet, in Python: PBKDF2-HMAC-SHA256, 600,000 rounds, seed of an Ed25519 key."""
    seed = hashlib.pbkdf2_hmac("sha256", code.encode(), base64.b64decode(SALT), 600_000)
    return base64.b64encode(Ed25519PrivateKey.from_private_bytes(seed).public_key().public_bytes_raw()).decode()


def set_code(person, **changes):
    fields = {"salt": SALT, "iterations": 600_000, "public_key": key_from(CODE), "by": person, "at": NOON}
    return actions.set_signing_code(person=person, **(fields | changes))


def test_the_public_key_is_kept_and_logged(cast):
    """The ledger says from when on this key is that person's."""
    set_code(cast.diver)
    cast.diver.refresh_from_db()
    assert cast.diver.signing_public_key == key_from(CODE)
    assert cast.diver.signing_set_at == NOON
    assert key_from(CODE) in Entry.objects.filter(verb="set_signing_code").last().detail


def test_signatures_by_the_former_code_hold_until_it_was_changed(cast):
    """A record signed before may arrive after."""
    former = public_key_of(cast.diver)
    set_code(cast.diver)
    cast.diver.refresh_from_db()
    assert cast.diver.key_at(former, NOON - timedelta(hours=1))
    assert not cast.diver.key_at(former, NOON + timedelta(hours=1))
    assert cast.diver.key_at(key_from(CODE), NOON + timedelta(hours=1))


def test_nobody_sets_anothers_code(cast):
    """Not even the chief: a signature is its owner's."""
    with pytest.raises(NotAllowed):
        set_code(cast.diver, by=cast.chief)


@pytest.mark.parametrize(
    "field, given",
    [
        ("salt", "c2hvcnQ="),
        ("salt", "not base64!"),
        ("iterations", 599_999),
        ("public_key", ""),
        ("public_key", "AAAA"),
    ],
)
def test_weak_or_broken_keys_are_refused_by_field(cast, field, given):
    """Each fault names its field and what is accepted."""
    with pytest.raises(Refused) as refused:
        set_code(cast.diver, **{field: given})
    assert [error[0] for error in refused.value.errors] == [field]


def test_page_wants_a_fresh_sign_in_and_then_keeps_the_key(cast, client):
    """Who finds an open tablet cannot give its owner another signature."""
    cast.diver.set_password(PASSWORD)
    cast.diver.save()
    client.force_login(cast.diver, backend="allauth.account.auth_backends.AuthenticationBackend")
    form = {"salt": SALT, "iterations": 600_000, "public_key": key_from(CODE)}
    answer = client.post("/me/signing-code/", form)
    assert answer.status_code == 401
    assert b"/accounts/reauthenticate/" in answer.content
    assert client.post("/accounts/reauthenticate/", {"password": PASSWORD}).status_code == 302
    assert client.post("/me/signing-code/", form)["Location"] == "/me/"
    cast.diver.refresh_from_db()
    assert cast.diver.signing_public_key == key_from(CODE)
