"""Past operations from a file: the upload, the rows that wait, the confirmation, and what was left out."""

from collections.abc import Iterable
from uuid import UUID

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from opsrisk.agencies.forms import show
from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.models import Site
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.operations.models import Import
from opsrisk.review import import_actions
from opsrisk.review.import_columns import COLUMNS
from opsrisk.review.import_table import MOST_BYTES, MOST_ROWS, template, write_left_out
from opsrisk.review.listing import zone_of, zone_words
from opsrisk.review.models import WaitingImport

MAY = "import_operations"
ON_A_PAGE = 50


class Bring(forms.Form):
    file = forms.FileField(
        label="CSV file",
        help_text=f"UTF-8, up to {MOST_BYTES // 1_000_000} MB and {MOST_ROWS:,} rows.",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
    )


@require_http_methods(["GET", "HEAD", "POST"])
def import_operations(request: Request) -> HttpResponse:
    """The columns, the form that brings a file, what waits of one's own, and what came in before."""
    require_fresh(request, MAY)
    form = Bring(request.POST, request.FILES) if request.method == "POST" else Bring()
    now = timezone.now()
    if request.method == "POST" and form.is_valid():
        brought = form.cleaned_data["file"]
        # One byte more than is taken, so that a long file is refused without being read whole.
        data = brought.read(MOST_BYTES + 1)
        try:
            made = import_actions.bring_import(data=data, name=brought.name or "", by=request.user, at=now)
        except Refused as refused:
            show(form, refused)
        else:
            return redirect("import_waiting", made.pk)
    zone = zone_of(request.user)
    context = {
        "form": form, "columns": COLUMNS, "zone": zone, "zone_words": zone_words(zone),
        "waiting": WaitingImport.objects.of_person(request.user, now).defer("data").order_by("-at", "pk"),
        "imports": Import.objects.for_person(request.user).select_related("by").order_by("-at", "pk")[:ON_A_PAGE],
    }  # fmt: skip
    return render(request, "review/import.html", context, status=422 if form.errors else 200)


@require_safe
def import_template(request: Request) -> HttpResponseBase:
    """A file with the names of the columns, to be filled in."""
    require_fresh(request, MAY)
    return _csv("past-operations.csv", [template()])


@require_http_methods(["GET", "HEAD", "POST"])
def import_waiting(request: Request, pk: UUID) -> HttpResponse:
    """What of a file is good, and what is not and why; confirmed or dropped by who brought it."""
    now = timezone.now()
    found = get_object_or_404(WaitingImport.objects.of_person(request.user, now), pk=pk)
    require_fresh(request, MAY)
    if request.method == "POST" and "drop" in request.POST:
        import_actions.drop_import(waiting=found, by=request.user, at=now)
        messages.success(request, "Dropped. Nothing of it came in.")
        return redirect("import_operations")
    if request.method == "POST":
        shown = request.POST.get("shown", "")
        try:
            made = import_actions.confirm_import(waiting=found, shown=shown, by=request.user, at=now)
        except Refused as refused:
            return _waiting(request, found, refused)
        messages.success(request, f"{made.number} operation{'' if made.number == 1 else 's'} came in.")
        return redirect("import_operations")
    return _waiting(request, found)


@require_safe
def import_left_out(request: Request, pk: UUID) -> HttpResponseBase:
    """The rows that would not come in, with the reason in the last column, to be mended and sent again."""
    now = timezone.now()
    found = get_object_or_404(WaitingImport.objects.of_person(request.user, now), pk=pk)
    require_fresh(request, MAY)
    read = import_actions.read_waiting(found, now)
    rows = [(row.line, row.reason) for row in read.left_out]
    return _csv("past-operations-left-out.csv", write_left_out(read.table.separator, rows))


def _waiting(request: Request, found: WaitingImport, refused: Refused | None = None) -> HttpResponse:
    read = import_actions.read_waiting(found, timezone.now())
    zone = zone_of(request.user)
    sites = dict(Site.objects.for_person(request.user).values_list("pk", "name"))
    good = Paginator(read.new, ON_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "waiting": found, "read": read, "refused": refused, "zone": zone, "zone_words": zone_words(zone),
        "good": good, "rows": [(one, sites[one.site] if one.site else "") for one in good],
        "left_out": Paginator(read.left_out, ON_A_PAGE).get_page(request.GET.get("left_out")),
    }  # fmt: skip
    return render(request, "review/import_waiting.html", context, status=409 if refused else 200)


def _csv(name: str, lines: Iterable[str]) -> HttpResponseBase:
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return StreamingHttpResponse(lines, content_type="text/csv; charset=utf-8", headers=disposition)
