"""Briefing: sheets."""

from django.apps import AppConfig


class BriefingConfig(AppConfig):
    name = "opsrisk.briefing"
    label = "briefing"
