"""What if: a version over the agency's past operations, and one number of it moved."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any
from uuid import UUID

from django import forms
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from opsrisk.agencies.permissions import require
from opsrisk.agencies.signed_in import Request
from opsrisk.engine.inputs import DECISIONS
from opsrisk.engine.parts import Protocol
from opsrisk.engine.protocol import ProtocolRefused, read_protocol
from opsrisk.jobs import enqueue
from opsrisk.operations.models import Assessment, Decision
from opsrisk.protocols.knobs import Knob, knobs, turned
from opsrisk.protocols.models import ProtocolVersion, protocol_in_force
from opsrisk.protocols.strips import Strip, strip
from opsrisk.review.actions import missing, work_out_facts
from opsrisk.review.jobs import PREPARE
from opsrisk.review.whatif import Effect, effect, past

WHILE_WAITING = 300  # assessments worked out while the chief waits; more are left to a job
ON_A_PAGE = 50
WORDS: dict[str, str] = dict(Decision.choices)
THEN, IN_FORCE = "then", "in_force"


class Question(forms.Form):
    """What is compared with what, and the number that is moved."""

    against = forms.ChoiceField(
        label="Compared with",
        choices=[(THEN, "what was decided then"), (IN_FORCE, "what the version in force decides")],
        required=False,
    )
    limit = forms.ChoiceField(label="Number to move", required=False)
    value = forms.CharField(
        label="Its value",
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "class": "short"}),
    )

    def __init__(self, data: Any, *, document: Mapping[str, Any]) -> None:
        super().__init__(data)
        self.knobs = {knob.key: knob for knob in knobs(document)}
        groups = groupby(self.knobs.values(), key=lambda knob: knob.group)
        offered = [
            (group, [(each.key, f"{each.words} ({each.value} {each.unit})") for each in of]) for group, of in groups
        ]
        self.fields["limit"].choices = [("", "none"), *offered]  # type: ignore[attr-defined]  # the stub knows Field only

    @property
    def knob(self) -> Knob | None:
        return self.knobs.get(self.cleaned_data.get("limit", "")) if self.is_valid() else None


@dataclass(frozen=True)
class Tried:
    """A version with one number moved, read; or why it is no protocol."""

    rules: Protocol | None
    faults: tuple[tuple[str, str, str], ...] = ()


@require_safe
def what_if(request: Request, pk: UUID) -> HttpResponse:
    """The whole page."""
    version, context = _asked(request, pk)
    others = ProtocolVersion.objects.for_person(request.user).order_by("-drafted_at")
    status = 422 if context["faults"] or context["form"].errors else 200
    return render(request, "review/what_if.html", context | {"version": version, "others": others}, status=status)


@require_safe
def what_if_effect(request: Request, pk: UUID) -> HttpResponse:
    """The part that changes while a number is moved."""
    version, context = _asked(request, pk)
    return render(request, "review/what_if_effect.html", context | {"version": version})


def _asked(request: Request, pk: UUID) -> tuple[ProtocolVersion, dict[str, Any]]:
    version = get_object_or_404(ProtocolVersion.objects.for_person(request.user).select_related("agency"), pk=pk)
    require(request.user, "review")
    rules = version.rules()
    form = Question(request.GET, document=json.loads(version.text()))
    form.is_valid()
    knob = form.knob
    tried = _tried(rules, knob, form.cleaned_data.get("value", "").strip())
    context: dict[str, Any] = {"form": form, "knob": knob, "faults": tried.faults, "words": WORDS}
    if tried.rules is not None and not form.errors:
        context["strip"] = _strip(tried.rules.document, knob)
        context |= _found(request, version, tried.rules, form.cleaned_data.get("against") or THEN)
    return version, context


def _tried(rules: Protocol, knob: Knob | None, value: str) -> Tried:
    if knob is None or not value or value == knob.value:
        return Tried(rules)
    try:
        return Tried(read_protocol(json.dumps(turned(rules.document, knob.key, value))))
    except ProtocolRefused as refused:
        return Tried(None, tuple(refused.errors))


def _strip(document: Mapping[str, Any], knob: Knob | None) -> Strip | None:
    """The factor whose points are moved, drawn as it would be."""
    moved = next((each for each in document["factors"] if knob and each["id"] == knob.factor), None)
    return strip(document, moved) if moved else None


def _found(request: Request, version: ProtocolVersion, tried: Protocol, against: str) -> dict[str, Any]:
    now = protocol_in_force(version.agency, timezone.now())
    left = _prepare(version)
    of = past(version.agency, tried)
    beside = None
    if against == IN_FORCE and now is not None:
        left = max(left, _prepare(now))
        beside = (now.rules(), past(version.agency, now.rules()))
    found = effect(tried, of, beside)
    versions = ProtocolVersion.objects.in_bulk([each[0] for each in found.by_version])
    page = Paginator(found.changed[::-1], ON_A_PAGE).get_page(request.GET.get("page"))
    return {
        "effect": found,
        "total": len(found.past),
        "left": left,
        "in_force": now,
        "against": against,
        "table": _table(found.table),
        "versions": [(versions[pk], many, moved, _table(table)) for pk, many, moved, table in found.by_version],
        "page": page,
        "rows": _rows(found, [int(place) for place in page]),
        "asked": _kept(request),
    }


def _prepare(version: ProtocolVersion) -> int:
    """Works out facts that are missing, if they are few; else asks a job. Returns how many are still missing."""
    rules = version.rules()
    work_out_facts(agency=version.agency, protocol=rules, most=WHILE_WAITING)
    left = missing(version.agency, rules)
    if left:
        enqueue(PREPARE, str(version.pk))
    return left


def _table(counts: list[list[int]]) -> list[dict[str, Any]]:
    """Rows with the decision of then, the counts under each answer, and which way each is."""
    ways = ("same", "more", "less")
    return [
        {
            "decision": DECISIONS[then],
            "word": WORDS[DECISIONS[then]],
            "cells": [(count, ways[(would > then) - (would < then)]) for would, count in enumerate(row)],
            "total": sum(row),
        }
        for then, row in enumerate(counts)
    ]


def _rows(found: Effect, places: list[int]) -> list[dict[str, Any]]:
    """The changed assessments of one page, each with its record's page and what came of the operation."""
    wanted = [found.past.id_at(place) for place in places]
    rows = Assessment.objects.select_related("operation", "protocol").defer("record", "server_document", "receipt")
    by_id = rows.in_bulk(wanted)
    made = []
    for place in places:
        before, after = (DECISIONS[int(side[place])] for side in (found.before, found.after))
        one = {"assessment": by_id[found.past.id_at(place)], "score": int(found.score[place])}
        words = {"before_word": WORDS[before], "after_word": WORDS[after]}
        made.append(one | {"before": before, "after": after, "more": found.after[place] > found.before[place]} | words)
    return made


def _kept(request: Request) -> str:
    """The question as it stands in the address, without the page."""
    asked = request.GET.copy()
    asked.pop("page", None)
    return asked.urlencode()
