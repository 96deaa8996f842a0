"""Receive, read, list. Each view reads the request, calls one function and answers."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_safe
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.exceptions import NotAuthenticated, NotFound, UnsupportedMediaType
from rest_framework.generics import ListAPIView, RetrieveAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import UUIDField
from rest_framework.views import APIView

from opsrisk.agencies.models import Person, Site, Vehicle
from opsrisk.agencies.nearby import stations
from opsrisk.agencies.permissions import require
from opsrisk.api import documents
from opsrisk.api import serializers as out
from opsrisk.assessment.assess import assess
from opsrisk.assessment.situation import read_situation
from opsrisk.briefing.models import Sheet
from opsrisk.ledger.actions import head
from opsrisk.operations.actions import receive_record
from opsrisk.operations.models import Assessment, Operation
from opsrisk.protocols.models import ProtocolVersion, protocol_in_force

KEY = OpenApiParameter(
    "Idempotency-Key",
    type={"type": "string", "minLength": 1, "maxLength": 120, "pattern": "^[!-~]+$"},
    location=OpenApiParameter.HEADER,
    required=True,
    description="Made once for this record, never used for another body; kept for ever.",
)
SENDER = OpenApiParameter(
    "Sent-By",
    type={"type": "string", "format": "uuid"},
    location=OpenApiParameter.HEADER,
    description="Who means to send: 401 if somebody else has signed in meanwhile.",
)
WRONG = {400: out.Errors, 401: out.Errors, 403: out.Errors, 413: out.Errors, 415: out.Errors}
READ = {401: out.Errors, 403: out.Errors, 404: out.Errors}


def json_body(request: Request) -> bytes:
    """The bytes as sent: parsing them first would hide names that are written twice."""
    if request.content_type.partition(";")[0].strip().lower() != "application/json":
        raise UnsupportedMediaType(request.content_type)
    return bytes(request.body)


def _check_sender(request: Request) -> None:
    """A tablet has two users and one cookie: nothing is taken in the name of whoever signed in last."""
    meant = request.headers.get("Sent-By")
    if meant is not None and meant != str(request.user.pk):
        raise NotAuthenticated(f"Sent-By: given {meant[:40]}, accepted the person who is signed in")


class Records(APIView):
    @extend_schema(
        operation_id="receive_record",
        auth=[{"session": []}],  # type: ignore[list-item]  # the stub lags behind the library
        parameters=[KEY, SENDER],
        request={"application/json": documents.BODY},
        responses={201: documents.RECEIPT, 200: documents.RECEIPT, **WRONG, 409: out.Errors, 422: out.Errors},
    )
    def post(self, request: Request) -> HttpResponse:
        """Takes a signed record once and answers with a countersigned receipt; the same key gets the same answer."""
        _check_sender(request)
        require(request.user, "send_record")  # before anything is said about the body
        key = request.headers.get("Idempotency-Key", "")
        answer = receive_record(body=json_body(request), key=key, by=request.user, at=timezone.now())
        replayed = {"Idempotent-Replayed": "true"} if answer.replayed else {}
        return HttpResponse(answer.response, status=answer.status, content_type="application/json", headers=replayed)


class Assess(APIView):
    @extend_schema(
        operation_id="assess",
        auth=[{"session": []}],  # type: ignore[list-item]  # the stub lags behind the library
        request={"application/json": documents.SITUATION},
        responses={200: documents.DECISION, **WRONG, 404: out.Errors, 503: out.Errors},
    )
    def post(self, request: Request) -> Response:
        """Decides on a situation under the protocol in force, and stores nothing."""
        protocol = protocol_in_force(request.user.agency, timezone.now())
        if protocol is None:
            raise NotFound("protocol: given none, accepted one that the agency has adopted")
        situation = read_situation(json_body(request), now=timezone.now())
        return Response(assess(situation, protocol.rules()))


@extend_schema(responses={200: out.OperationOut(many=True), **READ})
class Operations(ListAPIView):
    serializer_class = out.OperationOut

    def get_queryset(self) -> Any:
        rows = Operation.objects.for_person(self.request.user).select_related("imported")
        return rows.prefetch_related("assessments").order_by("-called_at", "pk")


@extend_schema(responses={200: out.OperationOut, **READ})
class OneOperation(RetrieveAPIView):
    serializer_class = out.OperationOut

    def get_queryset(self) -> Any:
        return Operation.objects.for_person(self.request.user)


@extend_schema(
    parameters=[OpenApiParameter("operation", type={"type": "string", "format": "uuid"})],
    responses={200: out.AssessmentOut(many=True), 400: out.Errors, **READ},
)
class Assessments(ListAPIView):
    serializer_class = out.AssessmentOut

    def get_queryset(self) -> Any:
        rows = Assessment.objects.for_person(self.request.user).order_by("-received_at", "pk")
        wanted = self.request.query_params.get("operation")
        return rows if wanted is None else rows.filter(operation=UUIDField().run_validation(wanted))


@extend_schema(responses={200: out.AssessmentWhole, **READ})
class OneAssessment(RetrieveAPIView):
    serializer_class = out.AssessmentWhole

    def get_queryset(self) -> Any:
        return Assessment.objects.for_person(self.request.user).prefetch_related("signatures")


@extend_schema(responses={200: out.ProtocolOut(many=True), **READ})
class Protocols(ListAPIView):
    serializer_class = out.ProtocolOut

    def get_queryset(self) -> Any:
        return ProtocolVersion.objects.for_person(self.request.user).order_by("-drafted_at", "pk")


@extend_schema(responses={200: out.ProtocolWhole, **READ})
class OneProtocol(RetrieveAPIView):
    serializer_class = out.ProtocolWhole

    def get_queryset(self) -> Any:
        return ProtocolVersion.objects.for_person(self.request.user)


class ProtocolInForce(APIView):
    @extend_schema(operation_id="protocol_in_force", responses={200: out.ProtocolWhole, **READ})
    def get(self, request: Request) -> Response:
        """The version that decides at this moment, with its document."""
        found = protocol_in_force(request.user.agency, timezone.now())
        if found is None:
            raise Http404("no protocol is in force")
        return Response(out.ProtocolWhole(found).data)


@extend_schema(responses={200: out.PersonOut(many=True), **READ})
class People(ListAPIView):
    """The roster: active people with qualifications and what checks their signatures."""

    serializer_class = out.PersonOut

    def get_queryset(self) -> Any:
        rows = Person.objects.for_person(self.request.user).filter(is_active=True)
        return rows.prefetch_related("qualifications").order_by("name", "pk")


@extend_schema(responses={200: out.SiteOut(many=True), **READ})
class Sites(ListAPIView):
    serializer_class = out.SiteOut

    def get_queryset(self) -> Any:
        return Site.objects.for_person(self.request.user).filter(retired_at__isnull=True).order_by("name")


@extend_schema(responses={200: out.VehicleOut(many=True), **READ})
class Vehicles(ListAPIView):
    serializer_class = out.VehicleOut

    def get_queryset(self) -> Any:
        return Vehicle.objects.for_person(self.request.user).filter(retired_at__isnull=True).order_by("name")


class Stations(APIView):
    @extend_schema(
        operation_id="stations",
        parameters=[out.StationAsked],
        responses={200: out.StationOut(many=True), 400: out.Errors, **READ},
    )
    def get(self, request: Request) -> Response:
        """Up to ten current stations by name or id, nearest first where a place is given."""
        asked = out.StationAsked(data=request.query_params.dict())
        asked.is_valid(raise_exception=True)
        given = asked.validated_data
        found = stations(text=given.get("q", ""), lat=given.get("lat"), lon=given.get("lon"))
        return Response(out.StationOut(found, many=True).data)


@extend_schema(responses={200: out.SheetOut(many=True), **READ})
class Sheets(ListAPIView):
    serializer_class = out.SheetOut

    def get_queryset(self) -> Any:
        return Sheet.objects.for_person(self.request.user).order_by("-made_at", "pk")


class LedgerHead(APIView):
    @extend_schema(operation_id="ledger_head", responses={200: out.HeadOut, **READ})
    def get(self, request: Request) -> Response:
        """The signed head of the log, to be kept somewhere else: later nobody can rewrite what it covers."""
        require(request.user, "read_ledger")
        present = head()
        if present is None:
            raise Http404("nothing was logged yet")
        return Response(present.document())


@login_not_required
@require_safe
def schema(request: HttpRequest, name: str) -> HttpResponse:
    """The published JSON Schema of a document: situation, decision, protocol."""
    if name not in documents.PUBLISHED:
        raise Http404(name)
    return JsonResponse(documents.PUBLISHED[name](), content_type="application/schema+json")
