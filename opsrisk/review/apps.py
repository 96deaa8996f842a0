"""Review: the chief's pages."""

from django.apps import AppConfig


class ReviewConfig(AppConfig):
    name = "opsrisk.review"
    label = "review"
