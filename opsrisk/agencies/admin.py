"""Set-up pages for whoever installs the server. Every change goes through the same actions as elsewhere."""

from typing import Any

from allauth.account.decorators import secure_admin_login
from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django import forms
from django.contrib import admin
from django.contrib.auth.models import Group
from django.db import models
from django.http import HttpRequest
from django.utils import timezone

from opsrisk.agencies import actions
from opsrisk.agencies.models import Agency, CurrentStation, Person, Site, Vehicle
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.sonar_modes import HELP, SonarModesField

# One way to sign in, with one throttle.
admin.site.login = secure_admin_login(admin.site.login)  # type: ignore[method-assign]  # as allauth documents it
admin.site.site_header = "Set-up"
# Whoever signs in, and by what, is changed by its owner or by enrolling, never here.
for model in (EmailAddress, Authenticator, Group, UserSession):
    admin.site.unregister(model)


class ReadOnly(admin.ModelAdmin):
    """Looks, changes nothing."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


class AddOnly(ReadOnly):
    """Adds by an action; `clean` shows the action's refusal on the form."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return bool(request.user.is_superuser)


def adding(action: Any) -> Any:
    """A model form whose saving is `action`, in the course of validation so that a refusal shows beside its field."""

    class ByAction(forms.ModelForm):
        by: Person

        def clean(self) -> dict[str, Any]:
            given = super().clean() or {}
            if not self.errors:
                try:
                    self.instance = action(**given, by=self.by, at=timezone.now())
                except Refused as refused:
                    for field, value, accepted in refused.errors:
                        self.add_error(field if field in self.fields else None, f"given {value}, accepted {accepted}")
            return given

        def _post_clean(self) -> None:
            """The action has validated and saved already."""

        def save(self, commit: bool = True) -> models.Model:
            return self.instance  # type: ignore[no-any-return]  # whatever row the action made

        def save_m2m(self) -> None:
            """Nothing here has many to many."""

    return ByAction


class BySetUp(AddOnly):
    action: Any

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        if change:
            return super().get_form(request, obj, change, **kwargs)
        return type("Form", (super().get_form(request, obj, change, form=self.form, **kwargs),), {"by": request.user})

    def save_model(self, request: HttpRequest, obj: Any, form: Any, change: bool) -> None:
        """The form's action has saved it."""


@admin.register(Agency)
class AgencyAdmin(BySetUp):
    form = adding(actions.found_agency)
    fields = ["name", "slug", "units", "language", "decimal", "time_zone", "second_factor"]
    list_display = ["name", "slug", "units"]


class Enrol(adding(actions.enrol)):  # type: ignore[misc]  # the base is made at run time
    password = forms.CharField(widget=forms.PasswordInput, help_text="First password, at least 15 characters.")


@admin.register(Person)
class PersonAdmin(BySetUp):
    form = Enrol
    list_display = ["name", "agency", "role", "is_active"]
    list_filter = ["agency", "role", "is_active"]
    actions = ["retire"]

    def get_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        words = ["agency", "name", "email", "role"]
        return [*words, "is_active", "retired_at"] if obj else [*words, "password"]

    @admin.action(description="Retire: end all access now", permissions=["add"])
    def retire(self, request: HttpRequest, rows: models.QuerySet[Person]) -> None:
        for person in rows.filter(retired_at__isnull=True):
            actions.retire(person=person, by=request.user, at=timezone.now())  # type: ignore[arg-type]  # never anonymous here


class AddVehicle(adding(actions.add_vehicle)):  # type: ignore[misc]  # the base is made at run time
    sonar_modes = SonarModesField(label="Working modes of the sonar", required=False, help_text=HELP)


@admin.register(Vehicle)
class VehicleAdmin(BySetUp):
    form = AddVehicle
    fields = ["agency", *actions.VEHICLE_FIELDS]
    list_display = ["name", "agency"]


@admin.register(Site)
class SiteAdmin(BySetUp):
    form = adding(actions.add_site)
    fields = ["agency", *actions.SITE_FIELDS]
    raw_id_fields = ["station"]
    list_display = ["name", "agency", "water"]


admin.site.register(CurrentStation, ReadOnly)
