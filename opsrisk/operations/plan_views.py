"""The plan of an operation on the desk: worked out from the current revision when it is asked for, never stored."""

from __future__ import annotations

import json
import re
from datetime import datetime
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from opsrisk.agencies.models import Agency, Site
from opsrisk.agencies.signed_in import Request
from opsrisk.assessment.pictures.drawn import pictures
from opsrisk.assessment.plan import plan_of, saved_words
from opsrisk.assessment.planning.inputs import FORMAT, PlanInputs, PlanRefused, read_plan_inputs
from opsrisk.assessment.situation import read_situation
from opsrisk.operations.models import Assessment, Operation
from opsrisk.operations.plan_forms import inputs_typed, sections

Json = dict[str, Any]
Errors = list[tuple[str, str, str]]
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?(Z|[+-]\d\d:\d\d)")


@require_safe
def operation_plan(request: Request, pk: UUID) -> HttpResponse:
    found = get_object_or_404(Operation.objects.for_person(request.user).select_related("site__station"), pk=pk)
    rows = found.assessments.current().select_related("protocol")
    current = rows.order_by("-revision", "-assessed_at", "pk").first()
    context: Json = {"operation": found, "assessment": current}
    if current is not None:
        context |= _planned(found, current, {key: str(value) for key, value in request.GET.items()})
    return render(request, "operations/plan.html", context, status=422 if context.get("errors") else 200)


def _planned(operation: Operation, assessment: Assessment, typed: dict[str, str]) -> Json:
    """The plan with what the record, the place and this page's address say; what is wrong there is said, not used."""
    record = json.loads(assessment.record)
    system = operation.agency.units
    errors: Errors = []
    place = _of_site(operation.site, record["situation"]) | _of_vehicle(operation.agency, record["situation"])
    inputs = _read(_merged(place, _of_record(record), inputs_typed(typed, system)), errors)
    if errors:
        inputs = _read(place | {"units": system}, [])
    situation = read_situation(json.dumps(record["situation"]))
    plan = plan_of(situation, inputs, assessment.protocol.rules())
    drawn = pictures(plan)
    numbers = [_shown(one, drawn.get(one["computation"]), situation.assessed_at) for one in plan["numbers"]]
    return {
        "plan": plan,
        "saved": saved_words(plan),
        "numbers": numbers,
        "sections": sections(plan, typed, system),
        "errors": errors,
    }


def _shown(number: Json, drawing: str | None, assessed_at: datetime) -> Json:
    """A number as the page shows it: its drawing, and its times by the clock of the assessment."""

    def clock(match: re.Match[str]) -> str:
        at = datetime.fromisoformat(match.group())
        return at.strftime("%H:%M" if at.date() == assessed_at.date() else "%d %b %H:%M")

    def timed(value: Any) -> Any:
        if isinstance(value, str):
            return MOMENT.sub(clock, value)
        if isinstance(value, dict):
            return {name: timed(part) for name, part in value.items()}
        return [timed(part) for part in value] if isinstance(value, list) else value

    safe = None if drawing is None else mark_safe(drawing)  # noqa: S308 - our own drawing, its words escaped
    return number | {"answers": timed(number["answers"]), "inputs": timed(number["inputs"]), "drawing": safe}


def _read(document: Json, errors: Errors) -> PlanInputs:
    try:
        return read_plan_inputs(document)
    except PlanRefused as refused:
        errors.extend(refused.errors)
        return PlanInputs({}, document.get("units", Agency.Units.METRIC))


def _of_site(site: Site | None, situation: Json) -> Json:
    """What the agency keeps of the place: its current station, and where it lies unless the record says it."""
    found: Json = {"format": FORMAT}
    if site is None:
        return found
    if site.station is not None:
        found["station_windows"] = {"station": site.station.data}
    if site.lat is not None and site.lon is not None and "latitude" not in situation.get("site", {}):
        found["daylight"] = {"latitude": str(site.lat), "longitude": str(site.lon)}
    return found


FIGURES = {
    "depth_rating": ("depth_rating_m", "m"),
    "tether_length": ("tether_length_m", "m"),
    "tether_diameter": ("tether_diameter_mm", "mm"),
    "thrust": ("thrust_n", "N"),
    "drag_area": ("drag_area_m2", "m2"),
}  # as the kit keeps them, and the tablet sends them


def _of_vehicle(agency: Agency, situation: Json) -> Json:
    """The sonar's modes from the kit: of the one vehicle whose figures the record carries, if there is just one."""
    given = situation.get("vehicle")
    if not isinstance(given, dict) or given.get("imaging_sonar") != "yes":
        return {}
    figures = {name: given[name] for name in FIGURES if isinstance(given.get(name), dict)}
    if {name: one["unit"] for name, one in figures.items()} != {name: unit for name, (_, unit) in FIGURES.items()}:
        return {}
    wanted = {FIGURES[name][0]: one["value"] for name, one in figures.items()}
    if "unknown" in wanted.values():
        return {}
    found = [one for one in agency.vehicles.filter(imaging_sonar=True, **wanted) if one.sonar_modes]
    return {"sonar_look": {"modes": found[0].sonar_modes}} if len(found) == 1 else {}


def _of_record(record: Json) -> Json:
    """Plan inputs that came along with the signed record, if any did."""
    found: Json = record.get("plan", {}).get("inputs", {})
    return found


def _merged(*documents: Json) -> Json:
    """Subject by subject, a later document's answers over an earlier one's."""
    found: Json = {}
    for document in documents:
        for name, part in document.items():
            both = isinstance(part, dict) and isinstance(found.get(name), dict)
            found[name] = found[name] | part if both else part
    return found
