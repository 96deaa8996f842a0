"""A fresh factor for what weighs most: asked only of those who may do it, so that nobody else learns there is more."""

from allauth.account.internal.flows.reauthentication import raise_if_reauthentication_required

from opsrisk.agencies.permissions import require
from opsrisk.agencies.signed_in import Request


def require_fresh(request: Request, action: str) -> None:
    """Raises NotAllowed; then what sends a person whose last factor is older than five minutes to give one again.

    A view calls it after it has found the thing by `for_person`: 404 first, then 403, then the question.
    """
    require(request.user, action)
    raise_if_reauthentication_required(request, app="")
