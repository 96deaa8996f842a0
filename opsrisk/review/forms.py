"""What the chief may ask the list for. Nothing given asks for everything."""

from calendar import month_name
from typing import Any

from django import forms

from opsrisk.agencies.models import Person, Site
from opsrisk.operations.models import Decision, Operation
from opsrisk.protocols.models import ProtocolVersion

ANY = ("", "Any")
MONTHS = tuple(enumerate(month_name[1:], start=1))
SORTS = (
    ("-assessed_at", "Newest first"),
    ("assessed_at", "Oldest first"),
    ("-score", "Highest score first"),
    ("score", "Lowest score first"),
    ("-caution", "Most cautious first"),
    ("caution", "Least cautious first"),
    ("title", "By title"),
)


class Filter(forms.Form):
    q = forms.CharField(label="Title or place contains", max_length=100, required=False)
    kind = forms.ChoiceField(choices=(ANY, *Operation.Kind.choices), required=False)
    decision = forms.ChoiceField(label="Computed decision", choices=(ANY, *Decision.choices), required=False)
    site = forms.ModelChoiceField(Site.objects.none(), required=False, empty_label="Any")
    version = forms.ModelChoiceField(
        ProtocolVersion.objects.none(), label="Protocol version", required=False, empty_label="Any"
    )
    person = forms.ModelChoiceField(Person.objects.none(), label="Decided by", required=False, empty_label="Anybody")
    month = forms.TypedChoiceField(
        label="Month of any year", choices=(ANY, *MONTHS), coerce=int, empty_value=None, required=False
    )
    since = forms.DateField(label="From day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    until = forms.DateField(label="To day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    overrides = forms.BooleanField(label="Only where another decision was chosen", required=False)
    disagreed = forms.BooleanField(label="Only where the own judgement was another", required=False)
    differs = forms.BooleanField(label="Only where the server decided otherwise than the tablet", required=False)
    unticked = forms.BooleanField(label="Only with a control not ticked when it was signed", required=False)
    assumed = forms.BooleanField(label="Only where the worse was assumed of something not known", required=False)
    lapsed = forms.BooleanField(label="Only where it went on after the decision had run out", required=False)
    hurried = forms.BooleanField(label="Only with a briefing under a minute", required=False)
    unbriefed = forms.BooleanField(label="Only without a briefing noted", required=False)
    changed = forms.BooleanField(label="Only where a briefing led to a change", required=False)
    no_score = forms.BooleanField(label="Only without a score", required=False)
    says = forms.CharField(widget=forms.HiddenInput, max_length=110, required=False)
    sort = forms.ChoiceField(choices=SORTS, required=False)

    def __init__(self, data: Any, *, person: Person) -> None:
        super().__init__(data)
        sites = Site.objects.for_person(person).order_by("name")
        versions = ProtocolVersion.objects.for_person(person).exclude(state="draft").order_by("-effective_from")
        deciders = Person.objects.for_person(person).filter(assessments_made__isnull=False).distinct().order_by("name")
        for name, rows in (("site", sites), ("version", versions), ("person", deciders)):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - by the two lines above
            field.queryset = rows

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if found.get("since") and found.get("until") and found["since"] > found["until"]:
            self.add_error("until", f"given {found['until']}, accepted a day not before {found['since']}")
        return found
