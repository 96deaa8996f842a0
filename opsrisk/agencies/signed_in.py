"""A request by somebody who has signed in, which LoginRequiredMiddleware makes sure of before any view runs."""

from django.http import HttpRequest

from opsrisk.agencies.models import Person


class Request(HttpRequest):
    user: Person  # type: ignore[assignment]  # narrower than Django's: never anonymous
