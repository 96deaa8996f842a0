"""Two ways to be known: a signed-in session (with its token against forged requests), or a token that only reads."""

from typing import Any

from django.conf import settings
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, SessionAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed, PermissionDenied
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request

from opsrisk.agencies.actions import token_digest
from opsrisk.agencies.models import Person, Token


class Session(SessionAuthentication):
    def authenticate_header(self, request: Request) -> str:
        """Naming a scheme makes a stranger's answer 401, which tells a tablet to sign in, instead of 403."""
        return "Session"


class ReadToken(BaseAuthentication):
    def authenticate(self, request: Request) -> tuple[Person, Any] | None:
        scheme, _, secret = get_authorization_header(request).decode("latin-1").partition(" ")
        if scheme.lower() != "bearer":
            return None
        token = Token.objects.select_related("person").filter(digest=token_digest(secret.strip())).first()
        if token is None or token.revoked_at is not None or not token.person.is_active:
            raise AuthenticationFailed("Authorization: given a token that opens nothing, accepted one in use")
        if request.method not in SAFE_METHODS:
            raise PermissionDenied("Authorization: given a token, accepted a signed-in session: tokens only read")
        return token.person, token

    def authenticate_header(self, request: Request) -> str:
        return "Bearer"


class SessionDescribed(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]  # registers itself
    target_class = Session
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "apiKey", "in": "cookie", "name": settings.SESSION_COOKIE_NAME}


class ReadTokenDescribed(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]  # registers itself
    target_class = ReadToken
    name = "token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer", "description": "Made on one's own page; reads, never writes"}
