"""What past assessments come down to for the engine, kept so that the chief need not wait for it."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from opsrisk.agencies.models import Agency, OfAgency, Person, Site
from opsrisk.operations.models import Assessment, Decision, Operation
from opsrisk.protocols.models import ProtocolVersion

KEPT = timedelta(days=1)  # how long a file of past operations waits for its confirmation


class PastFacts(models.Model):
    """Some assessments of one agency as values for the engine, for all protocols that take readings alike (`basis`).

    They follow from the signed records and may be worked out again at any time. Many are packed into one row, because
    a hundred thousand rows take longer to fetch than to decide on.
    """

    agency = models.ForeignKey(Agency, on_delete=models.CASCADE, related_name="past_facts")
    basis = models.CharField(max_length=64)
    stamp = models.CharField(max_length=32)  # unlike any other row's, so that a copy in memory knows what it is of
    number = models.PositiveIntegerField()
    ids = models.BinaryField()  # of the assessments, 16 bytes each
    versions = models.BinaryField()  # of the protocol versions that they were decided under, 16 bytes each
    decisions = models.BinaryField()  # as decided then, by place in the order of caution, a byte each
    readable = models.BinaryField()  # 1, or 0 where a situation is no longer read, a byte each
    values = models.BinaryField()  # of the readable ones: float64, one for each input read

    objects = OfAgency["PastFacts"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["agency", "basis"], name="facts_of_an_agency")]

    def __str__(self) -> str:
        return f"{self.number} assessments on {self.basis[:10]}"


class InForce(models.Model):
    """An assessment in force in the few columns that lists and figures are made of.

    They follow from the signed records and the log, and may be worked out again at any time: a record takes more
    than ten thousand letters, and reading past those of many operations is what a page would wait for.
    """

    assessment = models.OneToOneField(Assessment, on_delete=models.CASCADE, primary_key=True, related_name="in_force")
    agency = models.ForeignKey(Agency, on_delete=models.CASCADE, related_name="in_force")
    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="in_force")
    site = models.ForeignKey(Site, on_delete=models.CASCADE, null=True, related_name="in_force")
    title = models.CharField(max_length=200)
    place = models.CharField(max_length=300)
    kind = models.CharField(max_length=12, choices=Operation.Kind)
    protocol = models.ForeignKey(ProtocolVersion, on_delete=models.CASCADE, related_name="in_force")
    made_by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="in_force")
    assessed_at = models.DateTimeField()
    year = models.PositiveSmallIntegerField()  # by the agency's clock, as the month
    month = models.PositiveSmallIntegerField()  # 1 to 12
    score = models.PositiveSmallIntegerField(null=True)
    decision = models.CharField(max_length=24, choices=Decision)
    own_decision = models.CharField(max_length=24, choices=Decision)
    chosen_decision = models.CharField(max_length=24, choices=Decision)
    differs = models.BooleanField()
    unticked = models.PositiveSmallIntegerField()  # controls that were needed and not ticked when it was signed
    assumed = models.PositiveSmallIntegerField()  # facts that nobody knew, so that the worse was assumed
    lapses = models.PositiveSmallIntegerField()  # times that the operation went on without a decision that still held
    briefing_s = models.PositiveIntegerField(null=True)  # from its beginning to the last read-back; null: none noted
    led_to_a_change = models.BooleanField(null=True)  # a briefing did, on any revision; null: none noted

    objects = OfAgency["InForce"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["agency", "-assessed_at"], name="in_force_by_time")]

    def __str__(self) -> str:
        return f"{self.operation_id}, {self.decision}"


class Phrase(models.Model):
    """What records say, once: the name of a rule, an input or a control, and its words."""

    class What(models.TextChoices):
        STOP = "stop", "Stop"
        TRIGGER = "trigger", "Trigger"
        POINTS = "points", "Points"
        THIN = "thin", "Thin margin"
        ASSUMED = "assumed", "Not known, the worse assumed"
        UNTICKED = "unticked", "Control not ticked when it was signed"

    what = models.CharField(max_length=8, choices=What)
    name = models.CharField(max_length=100)  # of the rule, input or control
    text = models.CharField(max_length=300)

    objects = models.Manager["Phrase"]()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["what", "name", "text"], name="a_phrase_once")]

    def __str__(self) -> str:
        return f"{self.what} {self.name}"


class Finding(models.Model):
    """That an assessment in force says a phrase. Its agency, version and choice stand here too, so that counting
    them takes one index and no look at the assessments."""

    of = models.ForeignKey(InForce, on_delete=models.CASCADE, related_name="findings")
    phrase = models.ForeignKey(Phrase, on_delete=models.PROTECT, related_name="+")
    agency = models.ForeignKey(Agency, on_delete=models.CASCADE, related_name="+", db_index=False)
    protocol = models.ForeignKey(ProtocolVersion, on_delete=models.CASCADE, related_name="+", db_index=False)
    decided = models.BooleanField()  # it is a reason of the decision
    aside = models.BooleanField()  # another decision was chosen

    objects = OfAgency["Finding"].as_manager()

    class Meta:
        indexes = [models.Index(fields=["agency", "protocol", "phrase", "decided", "aside"], name="findings_counted")]

    def __str__(self) -> str:
        return f"{self.of_id}: {self.phrase_id}"


class ReadTo(models.Model):
    """Up to which entry of the log an agency's assessments in force have been worked out."""

    agency = models.OneToOneField(Agency, on_delete=models.CASCADE, primary_key=True, related_name="read_to")
    entry = models.PositiveBigIntegerField()
    way = models.PositiveSmallIntegerField()  # in which they were worked out: in another way all are worked out again

    objects = OfAgency["ReadTo"].as_manager()

    def __str__(self) -> str:
        return f"{self.agency_id} up to {self.entry}"


class Report(models.Model):
    """A month or a year of one agency as a sealed PDF, as it was known on the day on which it was made."""

    class Period(models.TextChoices):
        MONTH = "month", "Month"
        YEAR = "year", "Year"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    agency = models.ForeignKey(Agency, on_delete=models.PROTECT, related_name="reports")
    period = models.CharField(max_length=5, choices=Period)
    first_day = models.DateField()  # in the agency's time zone, as the last one is
    last_day = models.DateField()
    operations = models.PositiveIntegerField()
    file = models.CharField(max_length=200)  # path below settings.FILES
    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField()

    objects = OfAgency["Report"].as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["agency", "period", "first_day"], name="one_report_of_a_period"),
            models.CheckConstraint(condition=Q(last_day__gte=F("first_day")), name="a_period_ends_after_it_begins"),
        ]

    def __str__(self) -> str:
        return f"{self.agency}, {self.first_day} to {self.last_day}"

    @property
    def path(self) -> Path:
        return Path(settings.FILES) / self.file


class OfWaiting(OfAgency["WaitingImport"]):
    def of_person(self, person: Any, now: datetime) -> OfWaiting:
        """Those that this person brought and that have not expired: nobody else's, colleagues' neither."""
        return self.for_person(person).filter(by=person.pk, at__gt=now - KEPT)

    def expired(self, now: datetime) -> OfWaiting:
        return self.filter(at__lte=now - KEPT)


class WaitingImport(models.Model):
    """A file that was brought and not confirmed: nothing of it is in."""

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    agency = models.ForeignKey(Agency, on_delete=models.CASCADE, related_name="waiting_imports")
    by = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="waiting_imports")
    at = models.DateTimeField()
    name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    data = models.BinaryField()

    objects = OfWaiting.as_manager()

    def __str__(self) -> str:
        return f"{self.name}, waiting"

    @property
    def until(self) -> datetime:
        return self.at + KEPT
