"""Records as JSON. Quantities are decimal strings, times ISO 8601 with offset."""

from __future__ import annotations

import json
import math
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from opsrisk.agencies.models import Person, Qualification, Site, Vehicle
from opsrisk.briefing.models import Sheet
from opsrisk.operations.models import Assessment, Operation, Signature
from opsrisk.protocols.models import ProtocolVersion

OBJECT = {"type": "object", "additionalProperties": True}


class Error(serializers.Serializer):
    field = serializers.CharField(allow_blank=True)
    given = serializers.CharField(allow_blank=True)
    accepted = serializers.CharField(allow_blank=True)


class Errors(serializers.Serializer):
    """The one shape of everything that goes wrong."""

    errors = Error(many=True)  # type: ignore[assignment]  # the base class keeps its own list under this name


class QualificationOut(serializers.ModelSerializer):
    class Meta:
        model = Qualification
        fields = ["kind", "limits", "expires"]
        extra_kwargs = {"limits": {"read_only": True}}


class Signing(serializers.Serializer):
    """What checks a person's signatures; nothing here makes one."""

    salt = serializers.CharField(source="signing_salt", allow_blank=True)
    iterations = serializers.IntegerField(source="signing_iterations")
    public_key = serializers.CharField(source="signing_public_key", allow_blank=True)


class PersonOut(serializers.ModelSerializer):
    qualifications = QualificationOut(many=True, read_only=True)
    signing = Signing(source="*", read_only=True)

    class Meta:
        model = Person
        fields = ["id", "name", "role", "qualifications", "signing"]


class VehicleOut(serializers.ModelSerializer):
    class Meta:
        model = Vehicle
        fields = [
            "id",
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


class SiteOut(serializers.ModelSerializer):
    class Meta:
        model = Site
        fields = ["id", "name", "water", "lat", "lon", "altitude_m", "station", "notes"]


class StationOut(serializers.Serializer):
    id = serializers.CharField(source="station.pk")
    name = serializers.CharField(source="station.name")
    lat = serializers.DecimalField(source="station.lat", max_digits=9, decimal_places=6)
    lon = serializers.DecimalField(source="station.lon", max_digits=9, decimal_places=6)
    km = serializers.SerializerMethodField()

    def get_km(self, found: Any) -> str | None:
        """Distance from the place asked about, as a decimal string; null where none was given."""
        return None if found.km is None else f"{found.km:.1f}"


class Degrees(serializers.FloatField):
    """Not-a-number passes every comparison of a range."""

    def to_internal_value(self, data: Any) -> float:
        value = super().to_internal_value(data)
        if not math.isfinite(value):
            self.fail("invalid")
        return float(value)


class StationAsked(serializers.Serializer):
    q = serializers.CharField(max_length=100, required=False, allow_blank=True, help_text="Part of the name or id")
    lat = Degrees(min_value=-90, max_value=90, required=False, help_text="Degrees north")
    lon = Degrees(min_value=-180, max_value=180, required=False, help_text="Degrees east")


class OperationOut(serializers.ModelSerializer):
    assessments = serializers.PrimaryKeyRelatedField(many=True, read_only=True)
    imported = serializers.SerializerMethodField(help_text="From before this program: no assessment, no score")

    class Meta:
        model = Operation
        fields = [
            "id",
            "title",
            "site",
            "place",
            "kind",
            "called_at",
            "closed_at",
            "outcome",
            "assessments",
            "imported",
        ]

    def get_imported(self, found: Operation) -> bool:
        return hasattr(found, "imported")


ASSESSMENT = [
    "id",
    "operation",
    "revision",
    "digest",
    "protocol",
    "decision",
    "score",
    "own_decision",
    "chosen_decision",
    "override_reason",
    "override_second",
    "assessed_at",
    "made_by",
    "received_by",
    "received_at",
    "server_decision",
    "differs",
    "rival",
    "superseded_by",
    "correction",
    "voided_at",
    "voided_by",
    "void_reason",
]


class AssessmentOut(serializers.ModelSerializer):
    class Meta:
        model = Assessment
        fields = ASSESSMENT


class SignatureOut(serializers.ModelSerializer):
    at = serializers.CharField(source="at_text", help_text="As signed, to the letter")

    class Meta:
        model = Signature
        fields = ["person", "name", "role", "meaning", "at", "algorithm", "public_key", "signature", "verified_at"]


class AssessmentWhole(AssessmentOut):
    record = serializers.SerializerMethodField()
    receipt = serializers.SerializerMethodField()
    signatures = SignatureOut(many=True, read_only=True)

    class Meta(AssessmentOut.Meta):
        fields = [*ASSESSMENT, "record", "receipt", "signatures"]

    @extend_schema_field(OBJECT)
    def get_record(self, found: Assessment) -> Any:
        return json.loads(found.record)

    @extend_schema_field(OBJECT)
    def get_receipt(self, found: Assessment) -> Any:
        return json.loads(found.receipt)


class ProtocolOut(serializers.ModelSerializer):
    class Meta:
        model = ProtocolVersion
        fields = [
            "id",
            "protocol_id",
            "version",
            "digest",
            "state",
            "author",
            "drafted_at",
            "adopted_by",
            "adopted_at",
            "effective_from",
        ]


class ProtocolWhole(ProtocolOut):
    class Meta(ProtocolOut.Meta):
        fields = [*ProtocolOut.Meta.fields, "document"]
        extra_kwargs = {"document": {"help_text": "The document as text, to the letter: its digest is over it"}}


class SheetOut(serializers.ModelSerializer):
    class Meta:
        model = Sheet
        fields = ["id", "assessment", "paper", "state", "sha256", "code", "made_at"]


class HeadOut(serializers.Serializer):
    format = serializers.CharField()
    size = serializers.IntegerField()
    root = serializers.CharField()
    at = serializers.CharField()
    key_id = serializers.CharField()
    signature = serializers.CharField()
