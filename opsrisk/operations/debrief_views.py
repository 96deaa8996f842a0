"""The debrief's page: the form, and the debriefs that were given, the latest first."""

from dataclasses import fields
from uuid import UUID

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from opsrisk.agencies.forms import show
from opsrisk.agencies.permissions import require
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.operations.debrief_actions import Told, debrief
from opsrisk.operations.models import Debrief, Operation

MINUTES = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "short"})
WORDS = forms.Textarea(attrs={"rows": 4})
CHOOSE = [("", "Choose")]


class DebriefForm(forms.Form):
    """What may be typed; what is malformed the action says, beside the field."""

    happened = forms.CharField(label="What happened", max_length=8000, widget=WORDS)
    surprised = forms.CharField(label="What surprised you", max_length=8000, widget=WORDS, required=False)
    injuries = forms.ChoiceField(label="Who was hurt", choices=[*CHOOSE, *Debrief.Injuries.choices])
    near_miss = forms.ChoiceField(label="Did something nearly go wrong?", choices=[*CHOOSE, *Debrief.NearMiss.choices])
    near_miss_words = forms.CharField(label="If so: what", max_length=8000, widget=WORDS, required=False)
    found_by = forms.ChoiceField(label="Who found the target", choices=[*CHOOSE, *Debrief.FoundBy.choices])
    looking_back = forms.ChoiceField(label="Looking back", choices=[*CHOOSE, *Debrief.LookingBack.choices])
    diver_minutes = forms.CharField(
        label="Diver-minutes in the water",
        help_text="All divers together, in whole minutes; 0 if nobody dived; or the words: not known.",
        widget=MINUTES,
    )
    vehicle_minutes = forms.CharField(
        label="Vehicle-minutes in the water", help_text="Whole minutes; 0 if none; or: not known.", widget=MINUTES
    )
    reason = forms.CharField(
        label="Why this replaces the debrief before",
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *given: object, first: bool, **named: object) -> None:
        super().__init__(*given, **named)  # type: ignore[arg-type]  # passed on as they came
        if first:
            del self.fields["reason"]


@require_http_methods(["GET", "HEAD", "POST"])
def operation_debrief(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(Operation.objects.for_person(request.user), pk=pk)
    given = list(found.debriefs.select_related("by").order_by("-number"))
    posted = request.POST if request.method == "POST" else None
    form = DebriefForm(posted, first=not given, initial=_said(given[0]) if given else {})
    if request.method == "POST":
        require(request.user, "debrief")
        if form.is_valid():
            told = {field.name: form.cleaned_data.get(field.name, "") for field in fields(Told)}
            try:
                debrief(operation=found, told=Told(**told), by=request.user, at=timezone.now())
            except Refused as refused:
                show(form, refused)
            else:
                return redirect("operation_debrief", found.pk)
    status = 422 if form.errors else 200
    return render(request, "operations/debrief.html", {"operation": found, "given": given, "form": form}, status=status)


def _said(standing: Debrief) -> dict[str, object]:
    """The debrief that stands, to be corrected rather than typed again; the reason is always a new one."""
    said = {field.name: getattr(standing, field.name) for field in fields(Told) if field.name != "reason"}
    return {name: "not known" if value is None else value for name, value in said.items()}
