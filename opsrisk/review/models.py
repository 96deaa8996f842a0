"""What past assessments come down to for the engine, kept so that the chief need not wait for it."""

from django.db import models

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
