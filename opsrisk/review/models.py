"""What past assessments come down to for the engine, kept so that the chief need not wait for it."""

from django.db import models

from opsrisk.agencies.models import Agency, OfAgency
from opsrisk.operations.models import Assessment
from opsrisk.protocols.models import ProtocolVersion


class PastFacts(models.Model):
    """One assessment as values for the engine, for all protocols that take readings alike (`basis`).

    It follows from the signed record and may be worked out again at any time. What a list over all of them needs is
    repeated here, because the records themselves are long to read past.
    """

    assessment = models.ForeignKey(Assessment, on_delete=models.CASCADE, related_name="past_facts")
    agency = models.ForeignKey(Agency, on_delete=models.CASCADE, related_name="past_facts")
    basis = models.CharField(max_length=64)
    version = models.ForeignKey(ProtocolVersion, on_delete=models.CASCADE, related_name="past_facts")
    decision = models.PositiveSmallIntegerField()  # as decided then, by its place in the order of caution
    values = models.BinaryField()  # float64, one for each input read; empty where the situation is no longer read

    objects = OfAgency["PastFacts"].as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["basis", "assessment"], name="facts_worked_out_once")]
        indexes = [models.Index(fields=["agency", "basis"], name="facts_of_an_agency")]

    def __str__(self) -> str:
        return f"{self.assessment_id} {self.basis[:10]}"
