"""What the chief may ask the list for. Nothing given asks for everything."""

from typing import Any

from django import forms

from opsrisk.agencies.models import Person, Site
from opsrisk.operations.models import Decision, Operation
from opsrisk.protocols.models import ProtocolVersion

ANY = ("", "Any")
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
    since = forms.DateField(label="From day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    until = forms.DateField(label="To day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    overrides = forms.BooleanField(label="Only where another decision was chosen", required=False)
    disagreed = forms.BooleanField(label="Only where the own judgement was another", required=False)
    differs = forms.BooleanField(label="Only where the server decided otherwise than the tablet", required=False)
    sort = forms.ChoiceField(choices=SORTS, required=False)

    def __init__(self, data: Any, *, person: Person) -> None:
        super().__init__(data)
        sites = Site.objects.for_person(person).order_by("name")
        versions = ProtocolVersion.objects.for_person(person).exclude(state="draft").order_by("-effective_from")
        for name, rows in (("site", sites), ("version", versions)):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - by the two lines above
            field.queryset = rows

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if found.get("since") and found.get("until") and found["since"] > found["until"]:
            self.add_error("until", f"given {found['until']}, accepted a day not before {found['since']}")
        return found
