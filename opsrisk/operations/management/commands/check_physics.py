"""manage.py check_physics: our physics against independent programs, as one table."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from opsrisk.operations.physics_checks import Row, compare, read_oracles
from opsrisk.operations.timed_computations import timings
from opsrisk.protocols.shipped import BASELINE

GOAL_MS = 10.0
# A plan is a dozen computations, most at several ends of what is known; an envelope is many holding limits.
GOALS_MS = {"holding_envelope": 100.0, "tether_shape": 100.0, "launch_side": 100.0, "plan": 1000.0, "pictures": 100.0}
HEADINGS = ("computation", "quantity", "oracle", "cases", "greatest error", "median error", "bound")


class Command(BaseCommand):
    help = "Recompute every frozen case of an independent program and print the errors; fails when a bound is broken."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--oracles", type=Path, default=Path(settings.BASE_DIR) / "fixtures" / "oracles")

        parser.add_argument("--time", action="store_true", help="how long each computation takes on this machine")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["time"]:
            for line in time_table():
                self.stdout.write(line)
            return
        rows = [row for document in read_oracles(options["oracles"]) for row in compare(document)]
        if not rows:
            raise CommandError(f"no oracle files in {options['oracles']}: there is nothing to compare with")
        for line in table(rows):
            self.stdout.write(line)
        broken = [row for row in rows if not row.kept]
        if broken:
            raise CommandError(f"{len(broken)} of {len(rows)} bounds are broken")


def time_table() -> list[str]:
    """Milliseconds of each computation by name, of the plan and of its pictures, against what was asked for."""
    found = timings(*timed_documents())
    lines = [f"{'computation':<22}{'first, ms':>11}{'median, ms':>12}  goal, ms"]
    for name, taken in found.items():
        goal = GOALS_MS.get(name, GOAL_MS)
        missed = "" if taken["median"] < goal else "  MISSED"
        lines.append(f"{name:<22}{taken['first']:>11.2f}{taken['median']:>12.2f}  {goal:g}{missed}")
    return lines


def timed_documents() -> tuple[str, list[str]]:
    """What is timed: the example inputs of every computation, and the three texts of one plan."""
    folder = Path(settings.BASE_DIR) / "fixtures" / "computations"
    texts = [(folder / f"plan_{part}.json").read_text(encoding="utf-8") for part in ("situation", "inputs")]
    return (folder / "examples.json").read_text(encoding="utf-8"), [*texts, BASELINE.read_text(encoding="utf-8")]


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
