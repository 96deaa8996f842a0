"""The chief's pages: the list of operations, figures and a chart over them, and the same as CSV."""

from collections.abc import Iterable, Iterator
from tempfile import TemporaryFile
from typing import Any
from uuid import UUID

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import FileResponse, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.permissions import require
from opsrisk.agencies.signed_in import Request
from opsrisk.operations.models import Decision
from opsrisk.protocols.knobs import knobs
from opsrisk.protocols.models import ProtocolVersion
from opsrisk.review import export
from opsrisk.review.chart import MOST_POINTS, chart
from opsrisk.review.debriefs import debriefs
from opsrisk.review.forms import Filter
from opsrisk.review.imported import imported
from opsrisk.review.listing import MARKED, assessments, in_order, shown, without_assessment, zone_of, zone_words
from opsrisk.review.models import InForce
from opsrisk.review.patterns import MONTH_WORDS, MOST_PANELS, SHADES, calendar, panels, people
from opsrisk.review.rules import OTHERS, RULES, findings
from opsrisk.review.spreadsheet import write_spreadsheet
from opsrisk.review.trends import TENS, by_period, by_version, points, summary

ON_A_PAGE = 50
SPREADSHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
WORDS: dict[str, str] = dict(Decision.choices)
COUNTS = (  # the filter that leads to them, the count, its words
    ("overrides", "chosen_otherwise", "Another decision was chosen"),
    ("disagreed", "judged_otherwise", "The own judgement was another"),
    ("differs", "server_otherwise", "The server decided otherwise"),
    ("no_score", "without_score", "No score"),
    ("assumed", "assumed", "Something was not known and the worse assumed"),
    ("unticked", "unticked", "A control was not ticked when it was signed"),
    ("lapsed", "lapsed", "It went on after the decision had run out"),
    ("unbriefed", "unbriefed", "No briefing was noted"),
    ("hurried", "hurried", "The briefing took under a minute"),
    ("changed", "changed", "The briefing led to a change"),
)
COUNTED_OF = {"changed": "ever_briefed"}  # where it is not of all that were assessed


@require_safe
def review(request: Request) -> HttpResponse:
    """The list with its figures."""
    require(request.user, "review")
    form = Filter(request.GET, person=request.user)
    asked = form.cleaned_data if form.is_valid() else None
    rows = assessments(request.user, asked) if asked is not None else InForce.objects.none()
    sort = asked["sort"] if asked else ""
    page = Paginator(in_order(rows, sort), ON_A_PAGE).get_page(request.GET.get("page"))
    page.object_list = shown(page.object_list)  # type: ignore[arg-type]  # a part of the rows that it was given
    context = {"form": form, "page": page, "asked": _asked(request), **_figures(request, rows, asked)}
    return render(request, "review/review.html", context, status=200 if asked is not None else 422)


@require_safe
def review_csv(request: Request) -> HttpResponseBase:
    """Every row of the list as asked for, not only one page."""
    require_fresh(request, "review")
    form = Filter(request.GET, person=request.user)
    if not form.is_valid():
        return review(request)
    return _csv("operations.csv", export.lines(export.whole(form.cleaned_data, request.user)))


@require_safe
def review_spreadsheet(request: Request) -> HttpResponseBase:
    """The same rows as a spreadsheet file, with what the columns mean and how it was asked."""
    require_fresh(request, "review")
    form = Filter(request.GET, person=request.user)
    if not form.is_valid():
        return review(request)
    out = TemporaryFile()  # noqa: SIM115 - the answer reads it and closes it
    write_spreadsheet(out, export.whole(form.cleaned_data, request.user), _how(request, form))
    out.seek(0)
    return FileResponse(out, as_attachment=True, filename="operations.xlsx", content_type=SPREADSHEET)


def _how(request: Request, form: Filter) -> Iterator[tuple[str, str]]:
    """How the list was asked for, for whoever finds the file later."""
    agency = request.user.agency
    yield "Agency", agency.name if agency else ""
    yield "Made at (UTC)", timezone.now().isoformat(timespec="seconds")
    yield "Made by", request.user.name
    given = [field for field in form if form.cleaned_data.get(field.name)]
    for field in given:
        value = form.cleaned_data[field.name]
        choices = dict(getattr(field.field, "choices", ())) if isinstance(value, str | int) else {}
        yield f"Asked for: {field.label}", "yes" if value is True else str(choices.get(value, value))
    if not given:
        yield "Asked for", "everything"


@require_safe
def review_definitions(request: Request) -> HttpResponseBase:
    """What the columns of the CSV mean, and their units."""
    require(request.user, "review")
    return _csv("operations-definitions.csv", export.definitions())


@require_safe
def review_rules(request: Request) -> HttpResponse:
    """How often each rule fired and was set aside, what margins were thin, what nobody knew."""
    require(request.user, "review")
    form = Filter(request.GET, person=request.user)
    if not form.is_valid():
        return review(request)
    asked = {name: given for name, given in form.cleaned_data.items() if given and name != "sort"}
    found = findings(assessments(request.user, asked), agency=None if asked else request.user.agency_id)
    others = [(what.label, [row for row in found if row.what == what]) for what in OTHERS]
    fired = [row for row in found if row.what in RULES]
    movable = _movable({row.version_id for row in fired})
    ruled = [(row, movable.get((row.version_id, row.name), "")) for row in fired]
    context = {
        "fired": ruled,
        "others": others,
        "form": form,
        "asked": _asked(request),
        "without_rule": _asked(request, "says", "version", "overrides"),
    }
    return render(request, "review/rules.html", context)


def _movable(versions: set[UUID]) -> dict[tuple[UUID, str], str]:
    """For each version and rule with a number in it: the first such number, as the what-if names it."""
    found: dict[tuple[UUID, str], str] = {}
    for version in ProtocolVersion.objects.filter(pk__in=versions):
        for knob in knobs(version.rules().document):
            section, name, _ = knob.key.split("/")
            if section == "rules":
                found.setdefault((version.pk, name), knob.key)
    return found


@require_safe
def review_patterns(request: Request) -> HttpResponse:
    """The same operations by site and season, over time, and by who decided."""
    require(request.user, "review")
    form = Filter(request.GET, person=request.user)
    if not form.is_valid():
        return review(request)
    rows = assessments(request.user, form.cleaned_data)
    sites = calendar(rows)
    context = {
        "form": form, "asked": _asked(request), "number": rows.count(),
        "without_place": _asked(request, "site", "month"), "without_person": _asked(request, "person"),
        "calendar": sites, "month_words": MONTH_WORDS, "shades": SHADES,
        "panels": panels(rows), "panels_left_out": max(0, len(sites) - MOST_PANELS),
        "versions": by_version(rows), "tens": TENS, "people": people(rows),
    }  # fmt: skip
    return render(request, "review/patterns.html", context)


def _figures(request: Request, rows: QuerySet[InForce], asked: dict[str, Any] | None) -> dict[str, Any]:
    zone = zone_of(request.user)
    without = without_assessment(request.user, asked) if asked is not None else 0
    counted = summary(rows, without, WORDS, MARKED)
    units = request.user.agency.units if request.user.agency else "us"
    return {
        "zone": zone.key,
        "zone_words": zone_words(zone),
        "chart": chart(points(rows, MOST_POINTS), WORDS, zone),
        "left_out": max(0, counted.assessed - MOST_POINTS),
        "summary": counted,
        "counts": [
            (mark, words, getattr(counted, name), getattr(counted, COUNTED_OF.get(name, "assessed")))
            for mark, name, words in COUNTS
        ],
        "debriefs": debriefs(rows, units),
        "imported": imported(request.user, asked, units) if asked is not None else None,
        "words": WORDS,
        "versions": by_version(rows),
        "periods": by_period(rows),
    }


def _asked(request: Request, *without: str) -> str:
    """The question as it stands in the address, without the page and `without`, for links that keep it."""
    kept = request.GET.copy()
    for name in ("page", *without):
        kept.pop(name, None)
    return kept.urlencode()


def _csv(name: str, lines: Iterable[str]) -> StreamingHttpResponse:
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return StreamingHttpResponse(lines, content_type="text/csv; charset=utf-8", headers=disposition)
