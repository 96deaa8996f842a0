"""Whether the server is up."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_safe

from opsrisk.ledger.models import Head


@login_not_required
@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """Answers only when the database does; tells a stranger nothing else."""
    Head.objects.exists()
    return JsonResponse({"up": True})
