"""Sheets: one printed page of one signed assessment; archives: all of one operation for an inquiry."""

from __future__ import annotations

from pathlib import Path
from uuid import uuid4

from django.conf import settings
from django.db import models
from django.db.models import Q

from opsrisk.agencies.models import Agency, OfAgency, Person
from opsrisk.operations.models import Assessment, Operation


class SheetQuerySet(OfAgency["Sheet"]):
    agency_path = "assessment__operation__agency"

    def waiting(self) -> SheetQuerySet:
        """Sheets that somebody asked for and no job has finished."""
        return self.filter(state=Sheet.State.QUEUED)


class Sheet(models.Model):
    class Paper(models.TextChoices):
        A4 = "a4", "A4"
        LETTER = "letter", "Letter"

    class State(models.TextChoices):
        QUEUED = "queued", "Being made"
        READY = "ready", "Ready"
        FAILED = "failed", "Failed"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    assessment = models.ForeignKey(Assessment, on_delete=models.PROTECT, related_name="sheets")
    paper = models.CharField(max_length=6, choices=Paper)
    language = models.CharField(max_length=2, choices=Agency.Language, default=Agency.Language.ENGLISH)
    state = models.CharField(max_length=6, choices=State, default=State.QUEUED)
    pdf = models.CharField(max_length=200, blank=True)  # path below settings.FILES
    sha256 = models.CharField(max_length=64, blank=True)
    code = models.CharField(max_length=10, db_index=True)  # the record's digest, short enough to read over a radio
    made_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_reason = models.CharField(max_length=400, blank=True)

    objects = SheetQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["assessment", "paper", "language"], name="one_sheet_of_a_paper"),
            models.CheckConstraint(
                condition=~Q(state="ready") | (~Q(pdf="") & ~Q(sha256="")), name="ready_means_a_file"
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True) | ~Q(withdrawn_reason=""), name="withdrawn_for_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.paper} {self.language}"


class ArchiveQuerySet(OfAgency["Archive"]):
    agency_path = "operation__agency"

    def waiting(self) -> ArchiveQuerySet:
        """Archives that somebody asked for and no job has finished."""
        return self.filter(state=Archive.State.QUEUED)


class Archive(models.Model):
    """One file with everything about an operation, made for somebody outside; who asked and why stays with it."""

    class State(models.TextChoices):
        QUEUED = "queued", "Being made"
        READY = "ready", "Ready"
        FAILED = "failed", "Failed"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="archives")
    state = models.CharField(max_length=6, choices=State, default=State.QUEUED)
    file = models.CharField(max_length=200, blank=True)  # path below settings.FILES
    sha256 = models.CharField(max_length=64, blank=True)
    reason = models.CharField(max_length=400)
    # null: the command line
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="archives_asked")
    asked_at = models.DateTimeField()

    objects = ArchiveQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(state="ready") | (~Q(file="") & ~Q(sha256="")), name="ready_archive_has_a_file"
            ),
        ]

    @property
    def path(self) -> Path:
        return Path(settings.FILES) / self.file

    def __str__(self) -> str:
        return f"archive of {self.operation}, {self.asked_at:%Y-%m-%d}"
