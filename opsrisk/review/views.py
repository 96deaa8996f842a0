"""The chief's pages: the list of operations, figures and a chart over them, and the same as CSV."""

from collections.abc import Iterable
from typing import Any

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.permissions import require
from opsrisk.agencies.signed_in import Request
from opsrisk.operations.models import Assessment, Decision
from opsrisk.review import export, rules
from opsrisk.review.chart import MOST_POINTS, chart
from opsrisk.review.debriefs import debriefs
from opsrisk.review.forms import Filter
from opsrisk.review.listing import assessments, in_order, without_assessment, zone_of, zone_words
from opsrisk.review.trends import by_month, by_version, points, summary

ON_A_PAGE = 50
WORDS: dict[str, str] = dict(Decision.choices)


@require_safe
def review(request: Request) -> HttpResponse:
    """The list with its figures."""
    require(request.user, "review")
    form = Filter(request.GET, person=request.user)
    asked = form.cleaned_data if form.is_valid() else None
    rows = assessments(request.user, asked) if asked is not None else Assessment.objects.none()
    sort = asked["sort"] if asked else ""
    page = Paginator(in_order(rows.defer("record"), sort), ON_A_PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "page": page, "asked": _asked(request), **_figures(request, rows, asked)}
    return render(request, "review/review.html", context, status=200 if asked is not None else 422)


@require_safe
def review_csv(request: Request) -> HttpResponseBase:
    """Every row of the list as asked for, not only one page."""
    require_fresh(request, "review")
    form = Filter(request.GET, person=request.user)
    if not form.is_valid():
        return review(request)
    rows = in_order(assessments(request.user, form.cleaned_data), form.cleaned_data["sort"])
    rows = rows.prefetch_related("operation__debriefs")
    return _csv("operations.csv", export.lines(rows.iterator(chunk_size=200)))


@require_safe
def review_definitions(request: Request) -> HttpResponseBase:
    """What the columns of the CSV mean, and their units."""
    require(request.user, "review")
    return _csv("operations-definitions.csv", export.definitions())


@require_safe
def review_rules(request: Request) -> HttpResponse:
    """How often each rule fired and was set aside, over the operations asked for."""
    require(request.user, "review")
    form = Filter(request.GET, person=request.user)
    if not form.is_valid():
        return review(request)
    rows = assessments(request.user, form.cleaned_data)
    newest = in_order(rows, "").values_list(*rules.COLUMNS)[: rules.MOST_RECORDS]
    found = rules.rules((f"{name} {version}", *rest) for name, version, *rest in newest.iterator(chunk_size=200))
    context = {"fired": found, "form": form, "asked": _asked(request), "left_out": rows.count() - rules.MOST_RECORDS}
    return render(request, "review/rules.html", context)


def _figures(request: Request, rows: QuerySet[Assessment], asked: dict[str, Any] | None) -> dict[str, Any]:
    zone = zone_of(request.user)
    seen = points(rows)
    without = without_assessment(request.user, asked) if asked is not None else 0
    return {
        "zone": zone.key,
        "zone_words": zone_words(zone),
        "chart": chart(seen, WORDS, zone),
        "left_out": max(0, len(seen) - MOST_POINTS),
        "summary": summary(seen, without, WORDS),
        "debriefs": debriefs(rows, request.user.agency.units if request.user.agency else "us"),
        "words": WORDS,
        "versions": by_version(seen),
        "months": by_month(seen, zone),
    }


def _asked(request: Request) -> str:
    """The question as it stands in the address, without the page, for links that keep it."""
    kept = request.GET.copy()
    kept.pop("page", None)
    return kept.urlencode()


def _csv(name: str, lines: Iterable[str]) -> StreamingHttpResponse:
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return StreamingHttpResponse(lines, content_type="text/csv; charset=utf-8", headers=disposition)
