"""Recomputes the whole log and says whether anybody altered it."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from opsrisk.ledger import exports
from opsrisk.ledger.actions import verify


class Command(BaseCommand):
    help = "Recompute the log and compare it with its head and with heads exported earlier; exit 1 on any difference."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--heads", type=Path, help="file of signed heads kept elsewhere (default: the local export)"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        source = options["heads"] or exports.path()
        if options["heads"] and not source.exists():
            raise CommandError(f"--heads: given {source}, accepted a file of signed heads", returncode=2)
        heads = exports.read(source)
        report = verify(exported=heads)
        self.stdout.write(f"{report.size} entries, root {report.root}, compared with {len(heads)} exported heads")
        if report.problems:
            raise CommandError("\n".join(f"entry {each.index}: {each.what}" for each in report.problems), returncode=1)
        self.stdout.write("nothing was altered")
