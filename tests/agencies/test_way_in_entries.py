"""Whatever people sign in by is changed with an entry in the ledger, and never with what it is."""

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal import auth as totp
from django.core.cache import cache

from opsrisk.agencies import audit_actions
from opsrisk.ledger.models import Entry
from tests.cast import NOON, PASSWORD

NEW = "eight otters in the lock"


@pytest.fixture
def chief(cast, client):
    """Signed in with a password, a moment ago."""
    cache.clear()
    cast.chief.set_password(PASSWORD)
    cast.chief.save()
    client.post("/accounts/login/", {"login": cast.chief.email, "password": PASSWORD})
    client.post("/accounts/reauthenticate/", {"password": PASSWORD})
    return cast.chief


def entered(person):
    """What stands about the person's ways in, in order: verb and kind."""
    found = Entry.objects.about("agencies.person", str(person.pk)).filter(verb__in=audit_actions.WAYS_IN)
    assert all(entry.actor == str(person.pk) and entry.agency_id == person.agency_id for entry in found)
    return [
        (entry.verb, "totp" if "totp" in entry.detail else "codes" if "codes" in entry.detail else "")
        for entry in found
    ]


def set_up(client):
    secret = client.get("/accounts/2fa/totp/activate/").context["form"].secret
    code = totp.format_hotp_value(totp.hotp_value(secret, next(totp.yield_hotp_counters_from_time())))
    assert client.post("/accounts/2fa/totp/activate/", {"code": code}).status_code == 302
    return secret


def test_an_authenticator_from_setting_up_to_removal(chief, client, django_capture_on_commit_callbacks):
    """The codes that come with it, seeing them, their file and new ones too; the secret and the codes stand nowhere."""
    with django_capture_on_commit_callbacks(execute=True):
        secret = set_up(client)
    assert ("add_factor", "totp") in entered(chief) and ("add_factor", "codes") in entered(chief)
    codes = client.get("/accounts/2fa/recovery-codes/").context["unused_codes"]
    assert client.get("/accounts/2fa/recovery-codes/download/").status_code == 200
    with django_capture_on_commit_callbacks(execute=True):
        assert client.post("/accounts/2fa/recovery-codes/generate/").status_code == 302
    client.post("/accounts/2fa/totp/deactivate/")
    assert not Authenticator.objects.filter(type="totp").exists()
    verbs = [verb for verb, _ in entered(chief)]
    assert verbs.count("see_recovery_codes") == 2 and "make_recovery_codes" in verbs
    assert ("remove_factor", "totp") in entered(chief)
    assert not any(word in entry.detail for entry in Entry.objects.all() for word in (secret, *codes))


def test_a_passkey_removed(chief, client):
    """By the same signal as an authenticator."""
    made = Authenticator.objects.create(user=chief, type="webauthn", data={"name": "Key", "credential": {}})
    assert client.post(f"/accounts/2fa/webauthn/keys/{made.pk}/remove/").status_code == 302
    (entry,) = Entry.objects.filter(verb="remove_factor")
    assert "webauthn" in entry.detail


def test_codes_that_were_not_shown_were_not_seen(chief, client):
    """Where there are none, 404 and no entry."""
    assert client.get("/accounts/2fa/recovery-codes/").status_code == 404
    assert client.get("/accounts/2fa/recovery-codes/download/").status_code == 404
    assert entered(chief) == []


def test_a_password_changed_and_reset(chief, client, mailoutbox):
    """By oneself and by the link; a refused one leaves no entry."""
    change = "/accounts/password/change/"
    client.post(change, {"oldpassword": PASSWORD, "password1": "short", "password2": "short"})
    assert entered(chief) == []
    assert client.post(change, {"oldpassword": PASSWORD, "password1": NEW, "password2": NEW}).status_code == 302
    assert entered(chief) == [("change_password", "")]
    client.post("/accounts/logout/")
    client.post("/accounts/password/reset/", {"email": chief.email})
    link = next(word for word in mailoutbox[-1].body.split() if "/password/reset/key/" in word).split("testserver", 1)[
        1
    ]
    form_page = client.get(link, follow=True).redirect_chain[-1][0]
    assert client.post(form_page, {"password1": PASSWORD, "password2": PASSWORD}).status_code == 302
    assert entered(chief)[-1] == ("reset_password", "")
    assert not any(word in entry.detail for entry in Entry.objects.all() for word in (NEW, PASSWORD))


def test_only_known_verbs_are_entered(cast):
    """A misspelt one is a fault of the program."""
    with pytest.raises(ValueError, match="accepted one of add_factor"):
        audit_actions.note_way_in(by=cast.chief, verb="loose_factor", at=NOON)
