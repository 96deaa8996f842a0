"""What expires, and the page on which a medical examination is noted."""

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from opsrisk.agencies.forms import Medical
from opsrisk.agencies.medical_actions import note_examination
from opsrisk.agencies.models import Person
from opsrisk.agencies.papers import divers_without, due
from opsrisk.agencies.permissions import require
from opsrisk.agencies.signed_in import Request
from opsrisk.agencies.views import ask, found_at


@require_safe
def expiring(request: Request) -> HttpResponse:
    context = {"papers": due(request.user, timezone.now()), "without": divers_without(request.user)}
    return render(request, "agencies/expiring.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def medical(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(Person.objects.for_person(request.user), pk=pk)
    require(request.user, "note_medical")
    return ask(
        request,
        Medical(request.POST if request.method == "POST" else None),
        lambda given: note_examination(person=found, **given, by=request.user, at=timezone.now()),
        title=f"Medical examination of {found.name}",
        button="Note it",
        done="Noted.",
        to=found_at("person", found),
    )
