"""Tablet: the offline client."""

from django.apps import AppConfig


class TabletConfig(AppConfig):
    name = "opsrisk.tablet"
    label = "tablet"
