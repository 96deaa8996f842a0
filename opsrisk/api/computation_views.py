"""Computations by name, for other programs: what there is, what each asks, and its answer. Nothing is stored."""

from __future__ import annotations

from django.http import Http404
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from opsrisk.api import errors
from opsrisk.api import serializers as out
from opsrisk.api.documents import DIGEST, SITUATION, TEXT, Schema, closed, plain
from opsrisk.api.views import READ, WRONG, json_body
from opsrisk.assessment.computations.describe import catalogue, described
from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.registry import COMPUTATIONS
from opsrisk.assessment.planning.inputs import plan_inputs_schema
from opsrisk.operations.computing import compute_here, plan_here
from opsrisk.protocols.models import protocol_in_force

TEXTS: Schema = {"type": "array", "items": TEXT}
OPEN: Schema = {"type": "object"}
LISTED: Schema = {"type": "array", "items": closed({"name": TEXT, "title": TEXT, "question": TEXT, "page": TEXT})}
INPUT = closed({"name": TEXT, "words": TEXT, "accepted": TEXT, "unknown": TEXT})
OUTPUT = closed({"name": TEXT, "words": TEXT, "unit": TEXT, "kind": TEXT, "error": TEXT})
DESCRIBED = closed(
    {
        "name": TEXT,
        "title": TEXT,
        "question": TEXT,
        "method": TEXT,
        "limits": TEXT,
        "sources": TEXTS,
        "page": TEXT,
        "inputs": {"type": "array", "items": INPUT},
        "answers": {"type": "array", "items": OUTPUT},
        "schema": OPEN,
    }
)
ANSWERED = closed(
    {
        "format": {"const": "opsrisk.computation/1"},
        "computation": TEXT,
        "title": TEXT,
        "inputs": OPEN,
        "taken": {
            "type": "array",
            "items": closed({"input": TEXT, "words": TEXT, "shown": TEXT, "state": TEXT, "why": TEXT}),
        },
        "tried": {"type": "integer", "minimum": 1},
        "answers": {"type": "array", "items": OPEN | {"required": ["name", "words", "kind"]}},
        "method": TEXT,
        "limits": TEXT,
        "sources": TEXTS,
        "page": TEXT,
        "cautions": TEXTS,
    }
)
ASKED_OF_A_PLAN = closed({"situation": SITUATION}) | {
    "properties": {"situation": SITUATION, "inputs": plain(plan_inputs_schema())}
}
ROWS: Schema = {"type": "array", "items": OPEN}
PLANNED = closed(
    {
        "format": {"const": "opsrisk.plan/1"},
        "assessed_at": TEXT,
        "units": TEXT,
        "numbers": ROWS,
        "missing": ROWS,
        "refused": ROWS,
        "warnings": ROWS,
        "protocol": OPEN,
        "cautions": TEXTS,
        "digest": DIGEST,
    }
)
NAME = OpenApiParameter(
    "name", type={"type": "string", "enum": list(COMPUTATIONS)}, location=OpenApiParameter.PATH, required=True
)


class Computations(APIView):
    @extend_schema(operation_id="computations", responses={200: LISTED, **READ})
    def get(self, request: Request) -> Response:
        """Every computation, with the question that it answers."""
        return Response(catalogue())


class OneComputation(APIView):
    @extend_schema(operation_id="computation", parameters=[NAME], responses={200: DESCRIBED, **READ})
    def get(self, request: Request, name: str) -> Response:
        """What one computation asks, accepts and answers, with the JSON Schema of its input."""
        return Response(described(COMPUTATIONS[_known(name)]))

    @extend_schema(
        operation_id="compute",
        auth=[{"session": []}],  # type: ignore[list-item]  # the stub lags behind the library
        parameters=[NAME],
        request={"application/json": OPEN},
        responses={200: ANSWERED, **WRONG, 404: out.Errors},
    )
    def post(self, request: Request, name: str) -> Response:
        """Computes, and stores nothing. `station` may be a station's id."""
        try:
            return Response(compute_here(_known(name), json_body(request)))
        except ComputationRefused as refused:
            return Response(errors.body(refused.errors), status=400)


class Plan(APIView):
    @extend_schema(
        operation_id="plan",
        auth=[{"session": []}],  # type: ignore[list-item]  # the stub lags behind the library
        request={"application/json": ASKED_OF_A_PLAN},
        responses={200: PLANNED, **WRONG, 404: out.Errors},
    )
    def post(self, request: Request) -> Response:
        """The plan of a situation under the protocol in force, with the plan's own inputs; stores nothing."""
        protocol = protocol_in_force(request.user.agency, timezone.now())
        if protocol is None:
            raise NotFound("protocol: given none, accepted one that the agency has adopted")
        try:
            return Response(plan_here(json_body(request), protocol.text()))
        except ComputationRefused as refused:
            return Response(errors.body(refused.errors), status=400)


def _known(name: str) -> str:
    if name not in COMPUTATIONS:
        raise Http404(f"name: given {name[:60]}, accepted {', '.join(COMPUTATIONS)}")
    return name
