"""How people sign in: enrolled ones only, and every try by one of them is in the ledger."""

import logging
from collections.abc import Callable
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.signals import password_changed, password_reset, password_set
from allauth.mfa.models import Authenticator
from allauth.mfa.signals import authenticator_added, authenticator_removed, authenticator_reset
from django.contrib.auth.signals import user_logged_in, user_logged_out, user_login_failed
from django.dispatch import Signal
from django.http import HttpRequest
from django.utils import timezone

from opsrisk.agencies import actions, audit_actions, sessions
from opsrisk.agencies.models import Person

log = logging.getLogger(__name__)
# The library writes first and says so afterwards: these entries follow in a transaction of their own.
NOTED: dict[str, Signal] = {
    "add_factor": authenticator_added,
    "remove_factor": authenticator_removed,
    "make_recovery_codes": authenticator_reset,
    "set_password": password_set,
    "change_password": password_changed,
    "reset_password": password_reset,
}


class SignIn(DefaultAccountAdapter):  # type: ignore[misc]  # allauth has no types
    def _get_login_attempts_cache_key(self, request: HttpRequest, **credentials: Any) -> str:
        """Failed tries are counted for a person from an address: a stranger elsewhere locks nobody out."""
        whom = super()._get_login_attempts_cache_key(request, **credentials)
        return f"{whom}:{self.get_client_ip(request)}"

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Never: an agency enrols its people by name."""
        return False


def watch() -> None:
    """Connects the signals; called once when the application is ready."""
    user_logged_in.connect(_signed_in, dispatch_uid="opsrisk.sign_in")
    user_logged_out.connect(_signed_out, dispatch_uid="opsrisk.sign_out")
    user_login_failed.connect(_failed, dispatch_uid="opsrisk.sign_in_failed")
    authenticator_removed.connect(sessions.forget, dispatch_uid="opsrisk.factor_removed")
    for verb, signal in NOTED.items():
        signal.connect(_noting(verb), dispatch_uid=f"opsrisk.{verb}", weak=False)


def _signed_in(sender: Any, request: HttpRequest, user: Person, **_: Any) -> None:
    sessions.begin(request)
    actions.note_sign_in(person=user, verb="sign_in", at=timezone.now())


def _signed_out(sender: Any, user: Person | None, **_: Any) -> None:
    if user is not None:
        actions.note_sign_in(person=user, verb="sign_out", at=timezone.now())


def _noting(verb: str) -> Callable[..., None]:
    def note(sender: Any, user: Person, authenticator: Authenticator | None = None, **_: Any) -> None:
        kind = str(authenticator.type) if authenticator else ""
        audit_actions.note_way_in(by=user, verb=verb, kind=kind, at=timezone.now())

    return note


def _failed(sender: Any, credentials: dict[str, Any], **_: Any) -> None:
    given = str(credentials.get("email") or credentials.get("username") or "")
    person = Person.objects.filter(email=given.lower()).first()
    if person is not None:
        actions.note_sign_in(person=person, verb="sign_in_failed", at=timezone.now())
    else:
        log.warning("sign-in failed for an address that nobody here has")  # the address may be a mistyped password
