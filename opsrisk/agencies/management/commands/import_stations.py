"""manage.py import_stations: published tidal-current stations, the shipped selection or all of them."""

import json
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from opsrisk.agencies.actions import load_stations
from opsrisk.agencies.stations import (
    FORMAT,
    Sorted,
    StationsUnavailable,
    as_text,
    document_of,
    read_database,
    sort_out,
)

ROOT = Path(settings.BASE_DIR)
SELECTION = ROOT / "fixtures" / "stations" / "selection.json"


class Command(BaseCommand):
    help = "Take over current stations with constituents of their own that are in the public domain."

    def add_arguments(self, parser: CommandParser) -> None:
        which = parser.add_mutually_exclusive_group()
        which.add_argument("--all", action="store_true", help="every usable station of @neaps/tide-database")
        which.add_argument(
            "--select",
            nargs="*",
            metavar="ID",
            help="write the selection anew from the database instead: these ids, or those it has now",
        )
        parser.add_argument("--file", type=Path, default=SELECTION, help="the selection to read or write")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["select"] is not None:
            self._write(options["file"], options["select"])
            return
        stations = list(self._usable().kept) if options["all"] else self._read(options["file"])["stations"]
        count = load_stations(stations=stations, by=None, at=timezone.now())
        self.stdout.write(f"{count} current stations taken over")

    def _read(self, file: Path) -> dict[str, Any]:
        try:
            document = json.loads(file.read_text(encoding="utf-8"))
        except (OSError, ValueError) as error:
            raise CommandError(f"{file}: {error}") from None
        if not isinstance(document, dict) or document.get("format") != FORMAT:
            raise CommandError(f"{file}: given another format, accepted {FORMAT}")
        return document

    def _usable(self) -> Sorted:
        try:
            found = sort_out(read_database(ROOT))
        except StationsUnavailable as error:
            raise CommandError(str(error)) from None
        self.stdout.write(f"{len(found.kept)} stations usable")
        for reason, count in sorted(found.left_out.items()):
            self.stdout.write(f"{count} left out: {reason}")
        return found

    def _write(self, file: Path, ids: list[str]) -> None:
        wanted = ids or [station["id"] for station in self._read(file)["stations"]]
        usable = {station["id"]: station for station in self._usable().kept}
        unknown = sorted(set(wanted) - set(usable))
        if unknown:
            raise CommandError(f"not usable, or not in the database: {', '.join(unknown)}")
        file.write_text(as_text(document_of(usable[one] for one in sorted(wanted))), encoding="utf-8")
        self.stdout.write(f"{len(wanted)} stations written to {file.name}")
