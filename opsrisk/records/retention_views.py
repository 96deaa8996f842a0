"""How long records are kept: what others say, what the agency set, and what is past it."""

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from opsrisk.agencies.forms import show
from opsrisk.agencies.fresh import require_fresh
from opsrisk.agencies.models import Agency
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import Refused
from opsrisk.agencies.signed_in import Request
from opsrisk.records.retention import EVER, KINDS, SHOWN, in_force, past
from opsrisk.records.retention_actions import set_retention

YEARS = {"inputmode": "numeric", "autocomplete": "off", "class": "short"}


class Periods(forms.Form):
    """A field for each kind; what is malformed the action says, beside the field."""

    def __init__(self, *given: object, **named: object) -> None:
        super().__init__(*given, **named)  # type: ignore[arg-type]  # passed on as they came
        for kind in KINDS:
            self.fields[kind.name] = forms.CharField(
                label=f"{kind.words}, years",
                help_text=f"Counted from {kind.begins}. {'; '.join(kind.told) or 'No published least time.'}",
                required=False,
                widget=forms.TextInput(attrs=YEARS),
            )
        self.fields["reason"] = forms.CharField(
            label="Why, if a period is shorter than a published one",
            max_length=2000,
            required=False,
            widget=forms.Textarea(attrs={"rows": 3}),
        )


@require_safe
def retention(request: Request) -> HttpResponse:
    require(request.user, "review")
    agency = _agency(request)
    policy = in_force(agency)
    years = policy.years if policy else {}
    context = {
        "policy": policy,
        "kinds": [(kind, years.get(kind.name)) for kind in KINDS],
        "past": past(agency, years, timezone.now()),
        "ever": EVER,
        "purges": agency.purges.select_related("asked_by", "agreed_by").order_by("-asked_at")[:SHOWN],
        "former": agency.retention_policies.order_by("-number").select_related("by")[1:],
    }
    return render(request, "records/retention.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def set_periods(request: Request) -> HttpResponse:
    require_fresh(request, "set_retention")
    agency = _agency(request)
    policy = in_force(agency)
    form = Periods(request.POST if request.method == "POST" else None, initial=policy.years if policy else {})
    if request.method == "POST" and form.is_valid():
        years = {kind.name: form.cleaned_data[kind.name] for kind in KINDS}
        reason = form.cleaned_data["reason"]
        try:
            set_retention(agency=agency, years=years, reason=reason, by=request.user, at=timezone.now())
        except Refused as refused:
            show(form, refused)
        else:
            return redirect("retention")
    return render(request, "records/set_retention.html", {"form": form}, status=422 if form.errors else 200)


def _agency(request: Request) -> Agency:
    if request.user.agency is None:
        raise NotAllowed("retention: given no agency, accepted somebody of an agency")
    return request.user.agency
