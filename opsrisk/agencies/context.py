"""What every page needs to know."""

from django.http import HttpRequest

from opsrisk.assessment.cautions import CAUTIONS


def page(request: HttpRequest) -> dict[str, object]:
    """The cautions, which no page of results may leave out."""
    return {"cautions": CAUTIONS}
