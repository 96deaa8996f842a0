"""Puts a new server key in use; the old one signs nothing from then on and still verifies."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from opsrisk.ledger.actions import SYSTEM, rotate_key


class Command(BaseCommand):
    help = "Make a new server key, destroy the old private part, and log both ids."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(rotate_key(by=SYSTEM, by_name="command line", at=timezone.now()))
