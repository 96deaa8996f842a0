"""Operations: callout to debrief."""

from django.apps import AppConfig


class OperationsConfig(AppConfig):
    name = "opsrisk.operations"
    label = "operations"
