"""How people sign in: enrolled ones only, and every try by one of them is in the ledger."""

import logging
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.mfa.signals import authenticator_removed
from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed
from django.http import HttpRequest
from django.utils import timezone

from opsrisk.agencies import actions, sessions
from opsrisk.agencies.models import Person

log = logging.getLogger(__name__)


class SignIn(DefaultAccountAdapter):  # type: ignore[misc]  # allauth has no types
    def _get_login_attempts_cache_key(self, request: HttpRequest, **credentials: Any) -> str:
        """Failed tries are counted for a person from an address: a stranger elsewhere locks nobody out."""
        whom = super()._get_login_attempts_cache_key(request, **credentials)
        return f"{whom}:{self.get_client_ip(request)}"

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Never: an agency enrols its people by name."""
        return False


def watch() -> None:
    """Connects the three signals; called once when the application is ready."""
    user_logged_in.connect(_signed_in, dispatch_uid="opsrisk.sign_in")
    user_logged_out.connect(_signed_out, dispatch_uid="opsrisk.sign_out")
    user_login_failed.connect(_failed, dispatch_uid="opsrisk.sign_in_failed")
    authenticator_removed.connect(sessions.forget, dispatch_uid="opsrisk.factor_removed")


def _signed_in(sender: Any, request: HttpRequest, user: Person, **_: Any) -> None:
    sessions.begin(request)
    actions.note_sign_in(person=user, verb="sign_in", at=timezone.now())


def _signed_out(sender: Any, user: Person | None, **_: Any) -> None:
    if user is not None:
        actions.note_sign_in(person=user, verb="sign_out", at=timezone.now())


def _failed(sender: Any, credentials: dict[str, Any], **_: Any) -> None:
    given = str(credentials.get("email") or credentials.get("username") or "")
    person = Person.objects.filter(email=given.lower()).first()
    if person is not None:
        actions.note_sign_in(person=person, verb="sign_in_failed", at=timezone.now())
    else:
        log.warning("sign-in failed for an address that nobody here has")  # the address may be a mistyped password
