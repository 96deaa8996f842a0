"""What a password has to be, and how it is kept.

After NIST SP 800-63B-4: length, no rules of composition, none that is common or obvious at the agency.
"""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

from allauth.mfa.models import Authenticator
from django.contrib.auth.hashers import Argon2PasswordHasher
from django.core.exceptions import ValidationError

LEAST = 15  # characters: what SP 800-63B-4 asks of a password that is the only factor
OWN_PART = 8  # characters that have to be left without what anybody at the agency would try first
SERVICE = ("opsrisk", "ops", "risk", "password", "dive", "diver", "rescue")
LEAST_WORD = 3
KEYS = ("1234567890", "qwertyuiop", "asdfghjkl", "zxcvbnm")


class Argon2id(Argon2PasswordHasher):
    """64 MiB, two passes, one lane: above the floor of 19 MiB, 2, 1 of OWASP's advice on password storage."""

    time_cost = 2
    memory_cost = 64 * 1024
    parallelism = 1


class LongEnough:
    """Fifteen characters, beside a second factor too: one day it is removed, and the password stays."""

    def validate(self, password: str, user: Any = None) -> None:
        if len(password) < LEAST:
            raise ValidationError(f"Give at least {LEAST} characters. A few words that only you would put together do.")

    def get_help_text(self) -> str:
        return f"At least {LEAST} characters."


class NoAgencyWords:
    """The agency's, the person's and the service's own words do not count: what is left has to be long enough."""

    def validate(self, password: str, user: Any = None) -> None:
        left = _plain(password)
        for word in sorted(_words(user), key=len, reverse=True):
            left = left.replace(word, "")
        if len(left) < OWN_PART:
            raise ValidationError(
                "That is made of your agency's or your own name. Use words that nobody would connect with you."
            )

    def get_help_text(self) -> str:
        return "Not made of the agency's, the service's or your own name."


class NotARow:
    """Rows of keys, of the alphabet or of one letter count as one character each."""

    def validate(self, password: str, user: Any = None) -> None:
        text = password.casefold()
        steps = sum(not _follows(one, two) for one, two in pairwise(text))
        if 1 + steps < OWN_PART:
            raise ValidationError("That is a row of keys or the same again and again. Use words.")

    def get_help_text(self) -> str:
        return "No row of keys and no letter again and again."


def _follows(one: str, two: str) -> bool:
    return abs(ord(one) - ord(two)) <= 1 or any(one + two in row or two + one in row for row in KEYS)


def has_second_factor(person: Any) -> bool:
    """Whether an authenticator or a passkey is set up; recovery codes alone are none."""
    if person is None or person.pk is None:
        return False
    kinds = (Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN)
    return Authenticator.objects.filter(user_id=person.pk, type__in=kinds).exists()


def _words(person: Any) -> set[str]:
    texts = list(SERVICE)
    if person is not None:
        texts += [person.name, person.email.partition("@")[0]]
        if person.agency_id:
            texts += [person.agency.name, person.agency.slug]
    whole = {_plain(text) for text in texts}
    parts = {_plain(part) for text in texts for part in re.split(r"[\s._-]+", text)}
    return {word for word in whole | parts if len(word) >= LEAST_WORD}


def _plain(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalnum())
