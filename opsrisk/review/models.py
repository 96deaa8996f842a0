"""What past assessments come down to for the engine, kept so that the chief need not wait for it."""

from pathlib import Path
from uuid import uuid4

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from opsrisk.agencies.models import Agency, OfAgency


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
