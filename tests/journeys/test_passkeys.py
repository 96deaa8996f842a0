"""A passkey from set-up to sign-in, with the browser's own authenticator: no password is typed at the end."""

import pytest
from allauth.mfa.models import Authenticator
from django.core.cache import cache

from opsrisk.agencies import actions
from tests.cast import NOON, PASSWORD

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
KEY = {
    "protocol": "ctap2", "transport": "internal", "hasResidentKey": True, "hasUserVerification": True,
    "isUserVerified": True, "automaticPresenceSimulation": True,
}  # fmt: skip


@pytest.fixture
def chief(cast):
    """The chief of an agency that asks for a second factor, with a password so far."""
    cache.clear()
    cast.chief.set_password(PASSWORD)
    cast.chief.save()
    actions.set_second_factor(agency=cast.agency, on=True, by=cast.chief, at=NOON)
    return cast.chief


@pytest.fixture
def key(page):
    """A key in the browser; who holds it has confirmed by finger."""
    cdp = page.context.new_cdp_session(page)
    cdp.send("WebAuthn.enable")
    return cdp, cdp.send("WebAuthn.addVirtualAuthenticator", {"options": KEY})["authenticatorId"]


def add_passkey(page, chief):
    page.goto("/accounts/login/")
    page.fill("#id_login", chief.email)
    page.fill("#id_password", PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.get_by_text("Your agency asks for one").wait_for()
    page.get_by_role("link", name="Add a passkey").click()
    page.get_by_role("heading", name="Confirm that it is you").wait_for()
    page.fill("#id_password", PASSWORD)
    page.get_by_role("button", name="Confirm").click()
    page.get_by_role("heading", name="Add a passkey").wait_for()
    page.fill("#id_name", "Key ring")
    page.check("#id_passwordless")
    page.click("#mfa_webauthn_add")
    page.get_by_role("heading", name="Recovery codes").wait_for()


def test_with_a_passkey_alone_the_pages_open(chief, page, key):
    """Led to set-up first; afterwards one tap signs in, and counts as the second factor the agency asks for."""
    add_passkey(page, chief)
    assert Authenticator.objects.filter(user=chief, type="webauthn").count() == 1
    page.goto("/people/")
    page.get_by_role("heading", name="People").wait_for()
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("heading", name="Sign in").wait_for()
    page.click("#passkey_login")
    page.get_by_role("button", name=f"Sign out {chief.name}").wait_for()
    page.goto("/people/")
    page.get_by_role("heading", name="People").wait_for()


def test_a_password_then_asks_for_the_passkey(chief, page, key):
    """The password alone opens nothing; the passkey does."""
    add_passkey(page, chief)
    page.get_by_role("button", name="Sign out").click()
    page.fill("#id_login", chief.email)
    page.fill("#id_password", PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.get_by_role("heading", name="Second factor").wait_for()
    page.click("#mfa_webauthn_authenticate")
    page.get_by_role("button", name=f"Sign out {chief.name}").wait_for()


def test_a_refused_passkey_says_so_and_signs_nobody_in(chief, page, key):
    """Somebody else's finger: the page says that nothing was changed."""
    add_passkey(page, chief)
    cdp, one = key
    page.get_by_role("button", name="Sign out").click()
    cdp.send("WebAuthn.setUserVerified", {"authenticatorId": one, "isUserVerified": False})
    page.get_by_role("heading", name="Sign in").wait_for()
    page.click("#passkey_login")
    page.locator("#passkey-error", has_text="Nothing was changed").wait_for()
    page.goto("/people/")
    page.get_by_role("heading", name="Sign in").wait_for()
