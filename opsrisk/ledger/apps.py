"""Ledger: what was done, by whom, unaltered."""

from django.apps import AppConfig


class LedgerConfig(AppConfig):
    name = "opsrisk.ledger"
    label = "ledger"
