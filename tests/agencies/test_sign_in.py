"""Signing in: enrolled people, throttled, logged; nobody signs up."""

import logging

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal import auth as totp
from django.core.cache import cache

from opsrisk.agencies.models import Person
from opsrisk.ledger.models import Entry
from tests.cast import PASSWORD


@pytest.fixture
def chief(cast):
    cache.clear()
    cast.chief.set_password(PASSWORD)
    cast.chief.save()
    return cast.chief


def sign_in(client, password=PASSWORD, email="teo@tarrow.example"):
    return client.post("/accounts/login/", {"login": email, "password": password})


def test_signing_in_and_out_is_in_the_ledger(chief, client):
    """Who was here, and until when."""
    assert sign_in(client).status_code == 302
    assert client.post("/accounts/logout/").status_code == 302
    verbs = Entry.objects.about("agencies.person", str(chief.pk)).values_list("verb", flat=True)
    assert list(verbs)[-2:] == ["sign_in", "sign_out"]


def test_a_wrong_password_is_logged_and_not_repeated_anywhere(chief, client, caplog):
    """The canary stands in neither ledger nor log."""
    with caplog.at_level(logging.DEBUG):
        assert sign_in(client, password="canary-in-the-mine").status_code == 200
    assert Entry.objects.filter(verb="sign_in_failed", subject_id=str(chief.pk)).count() == 1
    assert "canary" not in caplog.text
    assert not any("canary" in entry.detail for entry in Entry.objects.all())


def test_an_unknown_address_gets_the_same_answer(chief, client):
    """A stranger does not learn who is enrolled."""
    wrong_password = sign_in(client, password="canary-in-the-mine")
    cache.clear()
    unknown = sign_in(client, email="nobody@tarrow.example")
    assert wrong_password.status_code == unknown.status_code == 200
    assert wrong_password.context["form"].errors == unknown.context["form"].errors


def test_guessing_is_throttled(chief, client):
    """After five wrong tries in five minutes even the right password waits."""
    for _ in range(5):
        sign_in(client, password="canary-in-the-mine")
    answer = sign_in(client)
    assert answer.status_code == 200
    assert "Too many failed login attempts" in str(answer.context["form"].errors)


def test_the_throttle_of_one_person_does_not_lock_the_crew_out(chief, cast, client):
    """Somebody else signs in from another place."""
    cast.deputy.set_password(PASSWORD)
    cast.deputy.save()
    for _ in range(5):
        sign_in(client, password="canary-in-the-mine")
    form = {"login": "oskar@tarrow.example", "password": PASSWORD}
    assert client.post("/accounts/login/", form, REMOTE_ADDR="192.0.2.9").status_code == 302


def test_nobody_signs_up(client, db):
    """The page says so, and a post makes nobody."""
    assert b"enrolled by their agency" in client.get("/accounts/signup/").content
    client.post("/accounts/signup/", {"email": "x@y.example", "password1": PASSWORD})
    assert Person.objects.count() == 0


def test_with_an_authenticator_the_password_alone_is_not_enough(chief, client):
    """The second step stands between the password and the pages, and its code opens them."""
    secret = totp.generate_totp_secret()
    totp.TOTP.activate(chief, secret)
    assert sign_in(client)["Location"] == "/accounts/2fa/authenticate/"
    assert client.get("/people/").status_code == 302
    assert client.post("/accounts/2fa/authenticate/", {"code": "000000"}).status_code == 200
    code = totp.format_hotp_value(totp.hotp_value(secret, next(totp.yield_hotp_counters_from_time())))
    assert client.post("/accounts/2fa/authenticate/", {"code": code}).status_code == 302
    assert client.get("/people/").status_code == 200


def test_an_authenticator_is_set_up_on_the_pages(chief, client):
    """From the picture to the recovery codes."""
    sign_in(client)
    client.post("/accounts/reauthenticate/", {"password": PASSWORD})
    page = client.get("/accounts/2fa/totp/activate/")
    secret = page.context["form"].secret
    assert secret.encode() in page.content
    code = totp.format_hotp_value(totp.hotp_value(secret, next(totp.yield_hotp_counters_from_time())))
    assert client.post("/accounts/2fa/totp/activate/", {"code": code}).status_code == 302
    assert Authenticator.objects.filter(user=chief, type="totp").exists()
    assert client.get("/accounts/2fa/recovery-codes/").status_code == 200
    assert client.get("/accounts/2fa/").status_code == 200


def test_password_reset_sends_a_link_that_works_once(chief, client, mailoutbox):
    """And the new password is held to the same rules."""
    client.post("/accounts/password/reset/", {"email": chief.email})
    (mail,) = mailoutbox
    link = next(word for word in mail.body.split() if "/password/reset/key/" in word).split("testserver", 1)[1]
    form_page = client.get(link, follow=True).redirect_chain[-1][0]
    new = "eight otters in the lock"
    assert client.post(form_page, {"password1": "short", "password2": "short"}).status_code == 200
    assert client.post(form_page, {"password1": new, "password2": new}).status_code == 302
    cache.clear()
    assert sign_in(client, password=new).status_code == 302
    client.post("/accounts/logout/")
    assert b"used already" in client.get(link, follow=True).content


@pytest.fixture
def behind_proxy(settings):
    """As the settings are with OPSRISK_BEHIND_PROXY=1."""
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = 1


def test_behind_a_proxy_a_stranger_locks_nobody_out(chief, client, behind_proxy):
    """Everybody's connection is the proxy's: the address that it added counts, and one that the caller made up not."""
    stranger = {"REMOTE_ADDR": "10.0.0.1", "HTTP_X_FORWARDED_FOR": "192.0.2.7, 198.51.100.66"}
    for number in range(12):
        password = f"canary-in-the-mine {number}"
        client.post("/accounts/login/", {"login": chief.email, "password": password}, **stranger)
    form = {"login": chief.email, "password": PASSWORD}
    made_up = client.post("/accounts/login/", form, **stranger | {"HTTP_X_FORWARDED_FOR": "192.0.2.8, 198.51.100.66"})
    assert "Too many" in str(made_up.context["form"].errors)
    own = {"REMOTE_ADDR": "10.0.0.1", "HTTP_X_FORWARDED_FOR": "192.0.2.7"}
    assert client.post("/accounts/login/", form, **own).status_code == 302
    assert list(chief.usersession_set.values_list("ip", flat=True)) == ["192.0.2.7"]
