"""Versions of an agency's protocol. An adopted one never changes."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from uuid import uuid4

from django.db import models
from django.db.models import Q

from opsrisk.agencies.models import Agency, OfAgency, Person
from opsrisk.assessment.assess import CannotAssess
from opsrisk.assessment.record import digest
from opsrisk.engine.protocol import Protocol, ProtocolRefused, read_protocol


class NotAsStored(CannotAssess):
    """A stored document whose digest is not the one kept beside it: nobody may decide by it."""


class ProtocolQuerySet(OfAgency["ProtocolVersion"]):
    def in_force(self, agency: Agency, at: datetime) -> ProtocolVersion | None:
        """The version that the agency decided by at that time; None before the first was adopted.

        Of those in effect the one adopted last: a version that was replaced before its day came never comes in force.
        """
        return (
            self.filter(agency=agency, effective_from__lte=at)
            .exclude(state=ProtocolVersion.State.DRAFT)
            .order_by("-adopted_at", "-effective_from")
            .first()
        )


class ProtocolVersion(models.Model):
    class State(models.TextChoices):
        DRAFT = "draft", "Draft"
        ADOPTED = "adopted", "In force"
        SUPERSEDED = "superseded", "Superseded"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="protocols")
    protocol_id = models.CharField(max_length=100)
    version = models.CharField(max_length=40)
    digest = models.CharField(max_length=64)
    document = models.TextField()
    state = models.CharField(max_length=10, choices=State, default=State.DRAFT)
    author = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="protocols_written")
    drafted_at = models.DateTimeField()
    based_on = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="drafts_from_it"
    )  # null: from the shipped baseline, or from a document of elsewhere
    proof = models.JSONField(null=True, blank=True)
    adopted_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="protocols_adopted"
    )
    adopted_at = models.DateTimeField(null=True, blank=True)
    effective_from = models.DateTimeField(null=True, blank=True)
    reason = models.TextField(blank=True)  # why it was adopted

    objects = ProtocolQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["agency", "protocol_id", "version"], name="one_protocol_of_a_version"),
            models.UniqueConstraint(fields=["agency"], condition=Q(state="adopted"), name="one_protocol_in_force"),
            models.CheckConstraint(
                condition=Q(
                    state="draft", adopted_by__isnull=True, adopted_at__isnull=True, effective_from__isnull=True
                )
                | Q(
                    state__in=["adopted", "superseded"],
                    adopted_by__isnull=False,
                    adopted_at__isnull=False,
                    effective_from__isnull=False,
                ),
                name="adopted_means_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(adopted_by__isnull=True) | ~Q(adopted_by=models.F("author")),
                name="adopted_by_a_second_person",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.protocol_id} {self.version}"

    def rules(self) -> Protocol:
        """The stored document, read. Raises NotAsStored if it is not the one that was drafted or adopted."""
        try:
            protocol = _read(self.document)
        except ProtocolRefused as fault:
            raise NotAsStored(f"{self}: the stored document is no protocol: {fault}") from fault
        found = digest(protocol.document)
        if found != self.digest:
            raise NotAsStored(f"{self}: the stored document has the digest {found}, kept is {self.digest}")
        return protocol

    def text(self) -> str:
        """The stored document to the letter. Raises NotAsStored; `document` itself is read nowhere else."""
        self.rules()
        return self.document

    @property
    def altered(self) -> str:
        """Why the stored document is not used; '' where it is the one that was drafted."""
        try:
            self.rules()
        except NotAsStored as fault:
            return str(fault)
        return ""


@lru_cache(maxsize=16)
def _read(document: str) -> Protocol:
    return read_protocol(document)


def protocol_in_force(agency: Agency | None, at: datetime) -> ProtocolVersion | None:
    """The version that `agency` decides by at that time; None where nothing was adopted yet."""
    return ProtocolVersion.objects.in_force(agency, at) if agency else None
