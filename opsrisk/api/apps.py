"""Api: other programs."""

from django.apps import AppConfig


class ApiConfig(AppConfig):
    name = "opsrisk.api"
    label = "api"
