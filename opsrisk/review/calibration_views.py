"""The page that says what the numbers rest on, and what the score is not."""

import json

from django.db.models import Count
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from opsrisk.agencies.permissions import require
from opsrisk.agencies.signed_in import Request
from opsrisk.operations.models import Decision
from opsrisk.protocols.models import ProtocolVersion, protocol_in_force
from opsrisk.protocols.shipped import BASELINE, baseline
from opsrisk.review.calibration import FEW, GROUNDS, SCORE_IS_NOT, cases, grounds, own_record, tried
from opsrisk.review.listing import assessments

WORDS: dict[str, str] = dict(Decision.choices)


@require_safe
def calibration(request: Request) -> HttpResponse:
    """Of the version that was asked for, else of the one in force, else of the shipped baseline."""
    require(request.user, "review")
    versions = list(ProtocolVersion.objects.for_person(request.user).order_by("-drafted_at"))
    version = _chosen(request, versions)
    rules = version.rules() if version else baseline()
    context = {
        "version": version,
        "named": str(version) if version else "the shipped baseline",
        "versions": versions,
        "tried": list(tried(rules)),
        "cases": [(case, WORDS[case.given], _expected(case.expected)) for case in cases(rules)],
        "records": own_record(_rows(request)),
        "few": FEW,
        "words": WORDS,
        "grounds": grounds(json.loads(version.text() if version else BASELINE.read_text())),
        "ground_words": list(GROUNDS.values()),
        "score_is_not": SCORE_IS_NOT,
    }
    return render(request, "review/calibration.html", context)


def _chosen(request: Request, versions: list[ProtocolVersion]) -> ProtocolVersion | None:
    asked = request.GET.get("version", "")
    if not asked:
        return protocol_in_force(request.user.agency, timezone.now())
    found = next((each for each in versions if str(each.pk) == asked), None)
    if found is None:
        raise Http404("no such version")
    return found


def _expected(names: str) -> str:
    return " or ".join(WORDS[name].lower() for name in names.split("/"))


def _rows(request: Request) -> list[tuple[str, str, str, str, int]]:
    """The own assessments in force, counted alike ones together."""
    rows = assessments(request.user, {})
    columns = ("protocol__protocol_id", "protocol__version", "decision", "own_decision", "chosen_decision")
    counted = rows.values_list(*columns).annotate(number=Count("pk")).order_by(*columns)
    return [(f"{name} {version}", *rest) for name, version, *rest in counted]
