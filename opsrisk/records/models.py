"""Dive records and training days. None is ever changed: a later one of the same replaces it and says why."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from django.db import models
from django.db.models import Exists, F, OuterRef, Q

from opsrisk.agencies.models import Agency, OfAgency, Person
from opsrisk.operations.models import Operation
from opsrisk.records.conditions import shown


class OfDive(OfAgency["DiveRecord"]):
    agency_path = "operation__agency"

    def standing(self) -> OfDive:
        """Those that no later one replaced: one for each dive."""
        same = {"operation": OuterRef("operation"), "dive": OuterRef("dive")}
        return self.filter(~Exists(DiveRecord.objects.filter(**same, number__gt=OuterRef("number"))))


class DiveRecord(models.Model):
    """One dive of one diver, with the items that 29 CFR 1910.423(d) and the state rules name."""

    class Mode(models.TextChoices):
        SCUBA = "scuba", "Scuba"
        SURFACE_SUPPLIED = "surface_supplied", "Surface-supplied"
        OTHER = "other", "Other"

    class Suspected(models.TextChoices):
        NO = "no", "No"
        YES = "yes", "Yes"
        UNKNOWN = "unknown", "Not known"

    class DepthUnit(models.TextChoices):
        FEET = "ft", "ft"
        METRES = "m", "m"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="dives")
    dive = models.PositiveSmallIntegerField()  # which dive of the operation, from 1 in the order of entry
    number = models.PositiveSmallIntegerField()  # from 1; the highest of a dive stands
    diver = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="dives")
    diver_name = models.CharField(max_length=200)  # as it was then; alone for somebody of another agency
    in_charge = models.CharField("person in charge", max_length=200)
    team = models.TextField("team members")  # a line for each
    place = models.CharField(max_length=300)
    in_at = models.DateTimeField("left the surface")
    out_at = models.DateTimeField("back at the surface")
    mode = models.CharField("mode of breathing", max_length=16, choices=Mode)
    mode_words = models.CharField(max_length=200, blank=True)
    work = models.TextField("nature of the work")
    # Of the signed record: its digest, and its readings as they stand in it.
    from_record = models.CharField(max_length=64, blank=True)
    conditions = models.JSONField(default=dict, blank=True)
    conditions_words = models.TextField(blank=True)
    # As it was typed, so that nothing is lost by converting; null: not known.
    max_depth = models.DecimalField("maximum depth", max_digits=5, decimal_places=1, null=True, blank=True)
    depth_unit = models.CharField(max_length=2, choices=DepthUnit)
    bottom_minutes = models.PositiveIntegerField("bottom time, min", null=True, blank=True)
    decompression = models.CharField("decompression sickness suspected", max_length=7, choices=Suspected)
    injury = models.CharField("injury suspected", max_length=7, choices=Suspected)
    incidents = models.TextField("unusual incidents", blank=True)
    reason = models.TextField(blank=True)  # why it replaces the one before
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="dive_records_kept")
    at = models.DateTimeField()
    sha256 = models.CharField(max_length=64)  # of `document()` in canonical JSON; stands in the log
    purge = models.ForeignKey(
        "Purge", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )  # by which it goes

    objects = OfDive.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["operation", "dive", "number"], name="one_dive_record_of_a_number"),
            models.CheckConstraint(condition=Q(number=1) | ~Q(reason=""), name="dive_record_replaced_for_a_reason"),
            models.CheckConstraint(condition=Q(out_at__gt=F("in_at")), name="out_of_the_water_after_in"),
            models.CheckConstraint(condition=~Q(mode="other") | ~Q(mode_words=""), name="another_mode_is_named"),
            models.CheckConstraint(
                condition=~(Q(decompression="yes") | Q(injury="yes")) | ~Q(incidents=""),
                name="what_was_suspected_is_told",
            ),
        ]
        indexes = [models.Index(fields=["diver", "-in_at"], name="dives_of_a_diver")]

    def __str__(self) -> str:
        return f"{self.operation}, dive {self.dive}, {self.diver_name}"

    @property
    def conditions_shown(self) -> list[tuple[str, str]]:
        return shown(self.conditions)

    def document(self) -> dict[str, Any]:
        """Everything that was kept, as text, for the digest that stands in the log."""
        return _document(self)


class OfTraining(OfAgency["TrainingDay"]):
    def standing(self) -> OfTraining:
        """Those that no later one replaced: one for each day that was entered."""
        same = {"agency": OuterRef("agency"), "day": OuterRef("day")}
        return self.filter(~Exists(TrainingDay.objects.filter(**same, number__gt=OuterRef("number"))))


class TrainingDay(models.Model):
    """What was trained on a day, for how long, and who took part."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="training_days")
    day = models.PositiveIntegerField()  # which entry of the agency, from 1
    number = models.PositiveSmallIntegerField()  # from 1; the highest of a day stands
    held_on = models.DateField("held on")
    what = models.TextField("what was trained")
    hours = models.DecimalField(max_digits=4, decimal_places=2)
    guests = models.TextField("others who took part", blank=True)
    reason = models.TextField(blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="training_days_kept")
    at = models.DateTimeField()
    sha256 = models.CharField(max_length=64)  # of `document` in canonical JSON; stands in the log
    purge = models.ForeignKey(
        "Purge", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )  # by which it goes

    objects = OfTraining.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["agency", "day", "number"], name="one_training_day_of_a_number"),
            models.CheckConstraint(condition=Q(number=1) | ~Q(reason=""), name="training_replaced_for_a_reason"),
            models.CheckConstraint(condition=Q(hours__gt=0, hours__lte=24), name="training_within_a_day"),
        ]

    def __str__(self) -> str:
        return f"training of {self.held_on}"

    def document(self, people: Iterable[Person]) -> dict[str, Any]:
        """Everything that was kept, as text, for the digest that stands in the log."""
        return _document(self) | {"people": sorted(str(one.pk) for one in people)}


class OfTrained(OfAgency["Trained"]):
    agency_path = "training__agency"


class Trained(models.Model):
    """That somebody took part."""

    training = models.ForeignKey(TrainingDay, on_delete=models.PROTECT, related_name="trained")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="trained")
    purge = models.ForeignKey(
        "Purge", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )  # by which it goes

    objects = OfTrained.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["training", "person"], name="trained_once_a_day")]

    def __str__(self) -> str:
        return f"{self.person}, {self.training}"


class RetentionPolicy(models.Model):
    """How long the agency keeps each kind of record. Never changed: a later one replaces it."""

    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="retention_policies")
    number = models.PositiveIntegerField()  # from 1; the highest is in force
    years = models.JSONField(blank=True)  # whole years by kind; a kind that is absent is kept for ever
    reason = models.TextField(blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="retention_policies_set")
    at = models.DateTimeField()

    objects = OfAgency["RetentionPolicy"].as_manager()

    class Meta:
        verbose_name_plural = "retention policies"
        constraints = [models.UniqueConstraint(fields=["agency", "number"], name="one_retention_policy_of_a_number")]

    def __str__(self) -> str:
        return f"{self.agency}, retention policy {self.number}"


class Purge(models.Model):
    """That records past their period go: asked for by one person, agreed to by another, and then done."""

    class Kind(models.TextChoices):
        DIVES = "dives", "Dive records in which nothing was suspected"
        DIVES_SUSPECTED = "dives_suspected", "Dive records with sickness or injury suspected or not known"
        TRAINING = "training", "Training days"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="purges")
    kind = models.CharField(max_length=16, choices=Kind)
    what = models.JSONField()  # the records, each by its number and digest
    reason = models.TextField()
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="purges_asked")
    asked_at = models.DateTimeField()
    agreed_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True, related_name="purges_agreed")
    agreed_at = models.DateTimeField(null=True, blank=True)

    objects = OfAgency["Purge"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(agreed_by__isnull=True, agreed_at__isnull=True)
                | (Q(agreed_by__isnull=False, agreed_at__isnull=False) & ~Q(agreed_by=F("asked_by"))),
                name="purge_agreed_to_by_a_second_person",
            ),
        ]

    def __str__(self) -> str:
        return f"purge of {self.get_kind_display()}, {self.asked_at:%Y-%m-%d}"


def _document(row: models.Model) -> dict[str, Any]:
    fields = (field for field in row._meta.concrete_fields if field.name not in ("sha256", "purge"))
    return {field.attname: _plain(getattr(row, field.attname)) for field in fields}


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, int | str | dict):
        return value
    return value.astimezone(UTC).isoformat() if isinstance(value, datetime) else str(value)
