"""Agencies: people and kit."""

from django.apps import AppConfig


class AgenciesConfig(AppConfig):
    name = "opsrisk.agencies"
    label = "agencies"

    def ready(self) -> None:
        from opsrisk.agencies import sign_in  # noqa: PLC0415  (models exist only now)

        sign_in.watch()
