"""How people sign in: enrolled ones only."""

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class SignIn(DefaultAccountAdapter):
    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Never: an agency enrols its people by name."""
        return False
