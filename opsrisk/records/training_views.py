"""The training log, and the page on which a day is entered or corrected."""

from uuid import UUID

from django import forms
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from opsrisk.agencies.forms import show
from opsrisk.agencies.models import Agency, Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.records.models import TrainingDay
from opsrisk.records.training_actions import Told, keep_training

ON_A_PAGE = 50


class TrainingForm(forms.Form):
    """What may be typed; what is malformed the action says, beside the field."""

    held_on = forms.DateField(label="Day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    what = forms.CharField(label="What was trained", max_length=4000, widget=forms.Textarea(attrs={"rows": 4}))
    hours = forms.CharField(
        label="Hours",
        help_text="For each who took part, such as 7.5.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "class": "short"}),
    )
    people = forms.MultipleChoiceField(label="Who took part", required=False, widget=forms.CheckboxSelectMultiple)
    guests = forms.CharField(
        label="Others who took part, by name",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        required=False,
    )
    reason = forms.CharField(
        label="Why this replaces the entry before", max_length=2000, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *given: object, agency: Agency, first: bool, **named: object) -> None:
        super().__init__(*given, **named)  # type: ignore[arg-type]  # passed on as they came
        people = Person.objects.filter(agency=agency).order_by("-is_active", "name")
        choices = [(str(one.pk), one.name + ("" if one.is_active else " (retired)")) for one in people]
        self.fields["people"].choices = choices  # type: ignore[attr-defined]  # a choice field
        if first:
            del self.fields["reason"]


@require_safe
def training(request: Request) -> HttpResponse:
    """Every day as it stands, the newest first, with those it replaced behind it."""
    rows = TrainingDay.objects.for_person(request.user).standing().select_related("by")
    rows = rows.prefetch_related("trained__person").order_by("-held_on", "-day")
    page = Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))
    corrected = [one.day for one in page if one.number > 1]
    former = TrainingDay.objects.for_person(request.user).filter(day__in=corrected).order_by("day", "number")
    before: dict[int, list[TrainingDay]] = {}
    for one in former.select_related("by").prefetch_related("trained__person"):
        before.setdefault(one.day, []).append(one)
    rows_shown = [(one, before.get(one.day, [])[:-1]) for one in page]
    return render(request, "records/training.html", {"page": page, "rows": rows_shown})


@require_http_methods(["GET", "HEAD", "POST"])
def keep(request: Request, day: int | None = None) -> HttpResponse:
    """The form of a new training day, or of the entry that replaces that of `day`."""
    require(request.user, "keep_training")
    agency = request.user.agency
    if agency is None:
        raise NotAllowed("training: given no agency, accepted somebody of an agency")
    before = agency.training_days.filter(day=day).order_by("-number").first() if day else None
    if day and before is None:
        raise Http404
    posted = request.POST if request.method == "POST" else None
    form = TrainingForm(posted, agency=agency, first=before is None, initial=_said(before) if before else {})
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data | {"people": tuple(UUID(one) for one in form.cleaned_data["people"])}
        try:
            keep_training(agency=agency, told=Told(**given), replaces=day, by=request.user, at=timezone.now())
        except Refused as refused:
            show(form, refused)
        else:
            return redirect("training")
    context = {"form": form, "before": before}
    return render(request, "records/keep_training.html", context, status=422 if form.errors else 200)


def _said(before: TrainingDay) -> dict[str, object]:
    said = {name: getattr(before, name) for name in ("held_on", "what", "hours", "guests")}
    return said | {"people": [str(pk) for pk in before.trained.values_list("person_id", flat=True)]}
