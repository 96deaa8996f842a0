"""Records: what the rules ask an agency to keep about dives, training and how long."""

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    name = "opsrisk.records"
    label = "records"
