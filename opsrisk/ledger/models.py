"""Append-only entries and the head of the log. The database refuses change and deletion of entries."""

from __future__ import annotations

from uuid import UUID

from django.db import models


class EntryQuerySet(models.QuerySet["Entry"]):
    def of_agency(self, agency_id: UUID | None) -> EntryQuerySet:
        """Entries of one agency; those of none (the installation itself) for None."""
        return self.filter(agency_id=agency_id)

    def about(self, subject_type: str, subject_id: str) -> EntryQuerySet:
        """What was done to one thing, oldest first."""
        return self.filter(subject_type=subject_type, subject_id=subject_id).order_by("index")


class Entry(models.Model):
    """One thing that somebody did. `at` is when it happened, `logged_at` when it reached the server."""

    index = models.PositiveBigIntegerField(primary_key=True)
    at = models.DateTimeField()
    logged_at = models.DateTimeField()
    # Plain ids, no relations: the ledger stands below every app and outlives what it speaks of.
    agency_id = models.UUIDField(null=True, db_index=True)
    actor = models.CharField(max_length=64)
    actor_name = models.CharField(max_length=200)
    verb = models.CharField(max_length=64)
    subject_type = models.CharField(max_length=64)
    subject_id = models.CharField(max_length=64)
    detail = models.TextField()
    leaf_hash = models.CharField(max_length=64)

    objects = EntryQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "entries"
        indexes = [
            models.Index(fields=["subject_type", "subject_id"], name="entry_subject"),
            models.Index(fields=["agency_id", "index"], name="entries_of_an_agency"),
        ]

    def __str__(self) -> str:
        return f"{self.index} {self.verb} {self.subject_type} {self.subject_id}"

    @property
    def deed(self) -> str:
        """The verb in words."""
        return self.verb.replace("_", " ")


class Head(models.Model):
    """The one row that every append locks: how many entries there are and the signed root over them.

    `peaks` are the roots of the complete subtrees, largest first, so that an append costs a handful of hashes.
    """

    size = models.PositiveBigIntegerField(default=0)
    root = models.CharField(max_length=64)
    peaks = models.TextField(default="[]")
    at = models.DateTimeField(null=True)
    key_id = models.CharField(max_length=16, default="")
    signature = models.CharField(max_length=100, default="")

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="only_one_head")]

    def __str__(self) -> str:
        return f"{self.size} entries, root {self.root[:16]}"
