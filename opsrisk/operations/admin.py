"""Operations in the set-up pages: to look at."""

from django.contrib import admin

from opsrisk.agencies.admin import ReadOnly
from opsrisk.operations.models import Assessment, Operation, Receipt, Signature


@admin.register(Operation)
class OperationAdmin(ReadOnly):
    list_display = ["title", "agency", "kind", "called_at", "closed_at"]
    list_filter = ["agency", "kind"]


@admin.register(Assessment)
class AssessmentAdmin(ReadOnly):
    list_display = ["operation", "revision", "decision", "chosen_decision", "differs", "received_at"]
    list_filter = ["decision", "differs", "rival"]


admin.site.register([Signature, Receipt], ReadOnly)
