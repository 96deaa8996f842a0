"""Everything here is some agency's: who belongs to none gets nothing."""

from typing import Any

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from opsrisk.agencies.permissions import may


class SignedIn(BasePermission):
    def has_permission(self, request: Request, view: Any) -> bool:
        person = request.user
        return bool(person and person.is_authenticated and person.agency_id and may(person, "read"))
