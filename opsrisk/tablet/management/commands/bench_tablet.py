"""`manage.py bench_tablet`: what the tablet's page weighs, how soon it starts with no network, how fast it answers."""

import os
import shutil
import tempfile
import tomllib
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from opsrisk.protocols.shipped import FIXTURES
from opsrisk.tablet.management.in_browser import NotMeasured, program
from opsrisk.tablet.management.page.serving import Server
from opsrisk.tablet.management.page.slowness import NotSlow

SLOWER = (1, 4)
GOALS = {"question": 1.5, "engine": 3.0, "p75": 200.0, "megabytes": 8.0}


class Command(BaseCommand):
    help = "Weigh and time the tablet's page in Chromium on the demo, at this machine's speed and four times slower."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--starts", type=int, default=5, help="starts of the browser at each speed; the median counts"
        )

    def handle(self, *, starts: int, **_: Any) -> None:
        try:
            from playwright.sync_api import sync_playwright  # noqa: PLC0415  (comes with the tests, not to run)
        except ImportError as missing:
            raise CommandError(f"{missing}; it comes with make test") from missing
        try:
            chromium = program()
        except NotMeasured as reason:
            raise CommandError(f"not measured: {reason}") from reason
        folder = Path(tempfile.mkdtemp(prefix="opsrisk-bench-"))
        try:
            with sync_playwright() as playwright:
                self._measure(playwright, chromium, folder, starts)
        finally:
            shutil.rmtree(folder, ignore_errors=True)

    def _measure(self, playwright: Any, chromium: str, folder: Path, starts: int) -> None:
        from opsrisk.tablet.management.page import visits  # noqa: PLC0415  (its types come with the tests)

        county = tomllib.loads((FIXTURES / "county" / "county.toml").read_text())
        server, tablet = Server(folder / "data"), folder / "tablet"
        server.start()
        before = server.sent()
        context = visits.opened(playwright, chromium, tablet, 1)
        visits.signed_in(context, server.address, "supervisor@tarrow.example", county["signing_code"])
        self._say("download of the first visit, MB", (server.sent() - before) / 1e6, GOALS["megabytes"])
        context.close()
        server.stop()
        self.stdout.write(f"{os.cpu_count()} cores; the server is stopped; median of {starts} starts of the browser")
        for times in SLOWER:
            found = []
            for _ in range(starts):
                try:
                    context = visits.opened(playwright, chromium, tablet, times)
                except NotSlow as reason:
                    self.stdout.write(f"{times} times slower: not measured, {reason}")
                    return
                found.append(visits.started(context, server.address))
                if len(found) == starts:
                    taps = visits.interactions(context)
                context.close()
            for what, words in (("question", "start to first question"), ("engine", "start to engine ready")):
                middle = sorted(one[what] for one in found)[starts // 2]
                self._say(f"{words}, {times} times slower, s", middle, GOALS[what])
            self._say(
                f"touch to next picture, {times} times slower, ms, 75th of 100 of {taps['taps']} taps",
                taps["p75"],
                GOALS["p75"],
            )
            self.stdout.write(f"  98th of 100: {taps['p98']:.0f}, longest {taps['most']:.0f}")

    def _say(self, what: str, found: float, goal: float) -> None:
        self.stdout.write(f"{what}: {found:.2f} ({'within' if found <= goal else 'MISSES'} {goal:g})")
