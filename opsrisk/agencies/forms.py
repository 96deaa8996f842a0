"""What the desk pages ask. Forms only read; whether a thing may be is settled by the actions."""

from typing import Any

from django import forms

from opsrisk.agencies.models import Agency, Person, Site, Vehicle
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.sonar_modes import HELP, SonarModesField


def show(form: forms.BaseForm, refused: Refused) -> None:
    """Puts an action's refusal beside the fields it names."""
    for field, given, accepted in refused.errors:
        form.add_error(field if field in form.fields else None, f"given {given!r}, accepted {accepted}")


class Enrol(forms.Form):
    name = forms.CharField(max_length=200)
    email = forms.EmailField(label="E-mail address", help_text="They sign in with it.")
    role = forms.ChoiceField(choices=Person.Role)
    password = forms.CharField(
        label="First password",
        help_text="At least 15 characters. They change it on their own page.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )


class Spoken(forms.Form):
    language = forms.ChoiceField(
        choices=Agency.Language,
        help_text="Tablets and sheets begin in it; each tablet and each sheet can have the other one.",
    )
    decimal = forms.ChoiceField(choices=Agency.Decimal, label="Decimal sign", help_text="On tablets and sheets.")


class Role(forms.Form):
    role = forms.ChoiceField(choices=Person.Role)


class Qualify(forms.Form):
    kind = forms.CharField(
        max_length=60,
        help_text="The position or skill as the protocol names it; others by their usual name, such as first aid.",
    )
    depth_limit_ft = forms.DecimalField(label="Depth limit, ft", min_value=0, required=False)
    expires = forms.DateField(required=False, widget=forms.DateInput(attrs={"type": "date"}))

    def limits(self) -> dict[str, Any]:
        depth = self.cleaned_data["depth_limit_ft"]
        return {} if depth is None else {"depth": {"value": str(depth), "unit": "ft"}}


class Medical(forms.Form):
    examined_on = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}))
    valid_until = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}))


class SigningKey(forms.Form):
    salt = forms.CharField(max_length=64)
    iterations = forms.IntegerField()
    public_key = forms.CharField(max_length=64)


class TokenName(forms.Form):
    name = forms.CharField(max_length=100, label="What the token is for")


class VehicleForm(forms.ModelForm):
    sonar_modes = SonarModesField(label="Working modes of the sonar", required=False, help_text=HELP)

    class Meta:
        model = Vehicle
        fields = [
            "name",
            "depth_rating_m",
            "tether_length_m",
            "tether_diameter_mm",
            "thrust_n",
            "drag_area_m2",
            "current_limit_mps",
            "imaging_sonar",
            "sonar_modes",
        ]


class SiteForm(forms.ModelForm):
    class Meta:
        model = Site
        fields = ["name", "water", "lat", "lon", "altitude_m", "station", "notes"]
        widgets = {"station": forms.TextInput(attrs={"list": "stations"})}
        help_texts = {"station": "Id of a current prediction station; found by name or nearness below."}


class StationSearch(forms.Form):
    q = forms.CharField(max_length=100, required=False)
    lat = forms.FloatField(min_value=-90, max_value=90, required=False)
    lon = forms.FloatField(min_value=-180, max_value=180, required=False)
