"""manage.py check_physics: our physics against independent programs, as one table."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from opsrisk.operations.physics_checks import Row, compare, read_oracles

HEADINGS = ("computation", "quantity", "oracle", "cases", "greatest error", "median error", "bound")


class Command(BaseCommand):
    help = "Recompute every frozen case of an independent program and print the errors; fails when a bound is broken."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--oracles", type=Path, default=Path(settings.BASE_DIR) / "fixtures" / "oracles")

    def handle(self, *args: Any, **options: Any) -> None:
        rows = [row for document in read_oracles(options["oracles"]) for row in compare(document)]
        if not rows:
            raise CommandError(f"no oracle files in {options['oracles']}: there is nothing to compare with")
        for line in table(rows):
            self.stdout.write(line)
        broken = [row for row in rows if not row.kept]
        if broken:
            raise CommandError(f"{len(broken)} of {len(rows)} bounds are broken")


def table(rows: list[Row]) -> list[str]:
    """`rows` as lines of text in columns, a broken bound marked in words."""
    cells = [HEADINGS] + [
        (row.computation, row.quantity, row.oracle, str(row.cases), _shown(row.greatest, row.unit),
         _shown(row.median, row.unit), _shown(row.bound, row.unit) + ("" if row.kept else "  BROKEN"))
        for row in rows
    ]  # fmt: skip
    widths = [max(len(line[column]) for line in cells) for column in range(len(HEADINGS))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip() for line in cells]


def _shown(value: float, unit: str) -> str:
    return f"{value:.2g} {unit}" if unit else f"{100 * value:.2g} %"
