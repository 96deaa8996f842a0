"""Protocols: the rules in force."""

from django.apps import AppConfig


class ProtocolsConfig(AppConfig):
    name = "opsrisk.protocols"
    label = "protocols"
