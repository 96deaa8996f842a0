"""Passwords: long rather than odd, not common, not the agency's own words, kept by Argon2id."""

import pytest
from allauth.mfa.models import Authenticator
from django.contrib.auth.password_validation import CommonPasswordValidator, validate_password
from django.core.exceptions import ValidationError

from opsrisk.agencies.passwords import Argon2id
from tests.cast import PASSWORD

GOOD = (
    PASSWORD,
    "otters swim at dusk",
    "so many herons " * 9,
    "ünïcode büchse zwölf",
    "quiet lamp 7 river stones",
    "a1b2c3d4e5f6g7h8",
)


@pytest.mark.parametrize("password", GOOD)
def test_fifteen_characters_of_any_kind_do(cast, password):
    """No upper-case letter, digit or sign is asked for, and 64 characters and more are taken."""
    validate_password(password, cast.chief)


@pytest.mark.parametrize("password", ["seven herons", "x7#Qa!9", "fourteen chars"])
def test_fewer_are_refused_where_it_is_the_only_factor(cast, password):
    """Odd signs do not make up for length."""
    with pytest.raises(ValidationError, match="15 characters"):
        validate_password(password, cast.chief)


@pytest.mark.parametrize("kind", ["totp", "webauthn"])
def test_as_many_are_asked_for_beside_a_second_factor(cast, kind):
    """The factor may be removed later, and the password would then stand alone."""
    Authenticator.objects.create(user=cast.chief, type=kind, data={})
    with pytest.raises(ValidationError, match="15 characters"):
        validate_password("seven-heron", cast.chief)
    validate_password(PASSWORD, cast.chief)


@pytest.mark.parametrize(
    "password",
    [
        "Tarrow County Dive Rescue",
        "tarrow-county-dive-1",
        "teo brandt teo brandt",
        "opsrisk opsrisk 2026",
        "TARROW tarrow TARROW 12",
    ],
)
def test_the_agencys_and_ones_own_words_do_not_count(cast, password):
    """Whatever is left without them is too short."""
    with pytest.raises(ValidationError, match="own name"):
        validate_password(password, cast.chief)


@pytest.mark.parametrize(
    "password", ["1234567890123456", "qwertyuiopasdfgh", "aaaaaaaaaaaaaaaaaaaa", "abcdefghijklmnopqrst"]
)
def test_rows_and_repetitions_are_refused(cast, password):
    """However long."""
    with pytest.raises(ValidationError, match="row of keys"):
        validate_password(password, cast.chief)


def test_known_ones_are_refused(cast):
    """Django's list of twenty thousand: what is long enough on it, and what is short beside a second factor."""
    known = CommonPasswordValidator().passwords
    Authenticator.objects.create(user=cast.chief, type="totp", data={})
    for password in [one for one in sorted(known) if len(one) >= 8][:50]:
        with pytest.raises(ValidationError):
            validate_password(password, cast.chief)


def test_they_are_kept_by_argon2id_above_the_floor(cast):
    """At least 19 MiB, two passes, one lane, as it stands in the hash itself."""
    cast.chief.set_password(PASSWORD)
    _, variety, version, cost, _salt, _hash = cast.chief.password.split("$")
    costs = dict(part.split("=") for part in cost.split(","))
    assert (variety, version) == ("argon2id", "v=19")
    assert int(costs["m"]) >= 19 * 1024 and int(costs["t"]) >= 2 and int(costs["p"]) == 1
    assert cast.chief.check_password(PASSWORD)
    assert not Argon2id().must_update(cast.chief.password)
