"""The dive records of an operation: the list, and the page on which one is kept or corrected."""

from dataclasses import fields
from uuid import UUID
from zoneinfo import ZoneInfo

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from opsrisk.agencies.forms import show
from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import may, require
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.operations.models import Operation
from opsrisk.records.dive_actions import Told, keep_dive
from opsrisk.records.dive_facts import Taken, of_operation
from opsrisk.records.models import DiveRecord, OfDive
from opsrisk.review.listing import zone_of, zone_words

CHOOSE = [("", "Choose")]
TIME = "%Y-%m-%dT%H:%M"
LINES = forms.Textarea(attrs={"rows": 4})
SHORT = {"autocomplete": "off", "class": "short"}


def _time(label: str, **more: str) -> forms.DateTimeField:
    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format=TIME)
    return forms.DateTimeField(label=label, widget=widget, **more)  # type: ignore[arg-type]  # only help_text comes


class DiveForm(forms.Form):
    """What may be typed; what is missing or malformed the action says, beside the field."""

    diver = forms.ChoiceField(label="Diver, if of this agency", required=False)
    guest = forms.CharField(label="Diver, if of another agency: by name", max_length=200, required=False)
    in_at = _time("Left the surface", help_text="Date and time where your agency is.")
    out_at = _time("Back at the surface")
    place = forms.CharField(label="Place", max_length=300)
    mode = forms.ChoiceField(label="Mode of breathing", choices=[*CHOOSE, *DiveRecord.Mode.choices])
    mode_words = forms.CharField(label="If another: which", max_length=200, required=False)
    work = forms.CharField(label="General nature of the work", max_length=4000, widget=LINES)
    max_depth = forms.CharField(label="Maximum depth", widget=forms.TextInput(attrs=SHORT | {"inputmode": "decimal"}))
    bottom_minutes = forms.CharField(
        label="Bottom time, min",
        help_text="From leaving the surface to leaving the bottom, in whole minutes; or the words: not known.",
        widget=forms.TextInput(attrs=SHORT | {"inputmode": "numeric"}),
    )
    from_record = forms.ChoiceField(label="Conditions taken from", required=False)
    conditions_words = forms.CharField(
        label="Where the water was otherwise than that: how", max_length=4000, widget=LINES, required=False
    )
    in_charge = forms.CharField(label="Person in charge", max_length=200)
    team = forms.CharField(label="Team members, a line for each", max_length=4000, widget=LINES)
    decompression = forms.ChoiceField(
        label="Decompression sickness suspected?", choices=[*CHOOSE, *DiveRecord.Suspected.choices]
    )
    injury = forms.ChoiceField(label="Injury suspected?", choices=[*CHOOSE, *DiveRecord.Suspected.choices])
    incidents = forms.CharField(
        label="Unusual incidents",
        help_text="If something was suspected: signs, depth and time of their onset, what was done. No diagnosis.",
        max_length=8000,
        widget=LINES,
        required=False,
    )
    reason = forms.CharField(label="Why this replaces the record before", max_length=2000, widget=LINES)

    def __init__(
        self, *given: object, of: Operation, taken: list[Taken], unit: str, first: bool, **named: object
    ) -> None:
        super().__init__(*given, **named)  # type: ignore[arg-type]  # passed on as they came
        people = Person.objects.filter(agency=of.agency_id).order_by("-is_active", "name")
        names = [(str(one.pk), one.name + ("" if one.is_active else " (retired)")) for one in people]
        self.fields["diver"].choices = [*CHOOSE, *names]  # type: ignore[attr-defined]  # a ChoiceField
        records = [(one.digest, one.words) for one in taken]
        self.fields["from_record"].choices = [*records, ("", "no assessment")]  # type: ignore[attr-defined]  # as above
        self.fields["max_depth"].label = f"Maximum depth, {unit}"
        self.fields["max_depth"].help_text = f"In {unit}, one decimal at most; or the words: not known."
        if first:
            del self.fields["reason"]


@require_safe
def operation_dives(request: Request, pk: UUID) -> HttpResponse:
    """Every record of the operation for whoever keeps them; a diver sees the own ones."""
    found = get_object_or_404(Operation.objects.for_person(request.user), pk=pk)
    rows = list(visible(request.user, found).order_by("dive", "-number"))
    latest = {row.dive: row.number for row in reversed(rows)}
    zone = zone_of(request.user)
    context = {
        "operation": found,
        "rows": [row for row in rows if row.number == latest[row.dive]],
        "replaced": [row for row in rows if row.number != latest[row.dive]],
        "zone_words": zone_words(zone),
    }
    with timezone.override(zone):
        return render(request, "records/dives.html", context)


def visible(person: Person, operation: Operation) -> OfDive:
    """What somebody may see of an operation's dive records: they tell of health."""
    rows = DiveRecord.objects.for_person(person).filter(operation=operation).select_related("by")
    return rows if may(person, "keep_dives") else rows.filter(diver=person)


@require_http_methods(["GET", "HEAD", "POST"])
def keep(request: Request, pk: UUID, dive: int | None = None) -> HttpResponse:
    """The form of a new record, or of the one that replaces the record of `dive`."""
    found = get_object_or_404(Operation.objects.for_person(request.user).select_related("agency"), pk=pk)
    require(request.user, "keep_dives")
    before = found.dives.filter(dive=dive).order_by("-number").first() if dive else None
    if dive and before is None:
        raise Http404
    zone = zone_of(request.user)
    with timezone.override(zone):
        return _keep(request, found, before, zone)


def _keep(request: Request, found: Operation, before: DiveRecord | None, zone: ZoneInfo) -> HttpResponse:
    taken = of_operation(found)
    unit = before.depth_unit if before else "ft" if found.agency.units == "us" else "m"
    initial = _said(before) if before else _start(found, taken)
    posted = request.POST if request.method == "POST" else None
    form = DiveForm(posted, of=found, taken=taken, unit=unit, first=before is None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            keep_dive(
                operation=found,
                told=_told(form, unit),
                replaces=before.dive if before else None,
                by=request.user,
                at=timezone.now(),
            )
        except Refused as refused:
            show(form, refused)
        else:
            return redirect("operation_dives", found.pk)
    context = {"operation": found, "form": form, "before": before, "taken": taken, "zone_words": zone_words(zone)}
    return render(request, "records/keep_dive.html", context, status=422 if form.errors else 200)


def _told(form: DiveForm, unit: str) -> Told:
    given = {field.name: form.cleaned_data.get(field.name, "") for field in fields(Told)}
    return Told(**given | {"diver": UUID(given["diver"]) if given["diver"] else None, "depth_unit": unit})


def _start(operation: Operation, taken: list[Taken]) -> dict[str, object]:
    """What the assessment in force already says, to be read over rather than typed."""
    first = taken[0] if taken else Taken()
    return {
        "place": operation.place or (operation.site.name if operation.site else ""),
        "in_charge": first.in_charge,
        "team": "\n".join(first.team),
        "mode": first.mode if first.mode in DiveRecord.Mode.values else "",
        "from_record": first.digest,
    }


def _said(before: DiveRecord) -> dict[str, object]:
    """The record that stands, to be corrected rather than typed again; the reason is always a new one."""
    said = {field.name: getattr(before, field.name) for field in fields(Told) if field.name not in ("guest", "reason")}
    unknown = {name: "not known" for name in ("max_depth", "bottom_minutes") if said[name] is None}
    guest = "" if before.diver_id else before.diver_name
    return said | unknown | {"diver": str(before.diver_id or ""), "guest": guest}
