"""Whether the server is up."""

from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_safe

from opsrisk.ledger.models import Head


@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """Answers only when the database does; tells a stranger nothing else."""
    Head.objects.exists()
    return JsonResponse({"up": True})
