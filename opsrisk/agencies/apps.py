"""Agencies: people and kit."""

from django.apps import AppConfig


class AgenciesConfig(AppConfig):
    name = "opsrisk.agencies"
    label = "agencies"
