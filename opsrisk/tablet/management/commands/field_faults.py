"""`manage.py field_faults`: is anything lost, doubled or sent as somebody else, whatever goes wrong in the field?"""

import json
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from opsrisk.tablet.bundle import ROOT

SHARD = "opsrisk.tablet.management.faults.shard"
SHARD_SIZE = 250
WRONGS = {
    "lost": "lost",
    "doubled": "doubled",
    "foreign": "sent or shown as somebody else",
    "faults": "failed otherwise",
}
SHOWN = 20

Result = dict[str, Any]


class Command(BaseCommand):
    help = (
        "Run the tablet's own modules against the real server through seeded schedules of faults, each on a database "
        "of its own, and account for every record that was finished and every draft that was called saved."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--seed", type=int, default=1, help="seed of the first schedule; each next one is one more")
        parser.add_argument("--schedules", type=int, default=200)
        parser.add_argument("--workers", type=int, default=2, help="processes side by side")
        parser.add_argument("--client", default="", help="a former release in fixtures/clients in place of the present")

    def handle(self, *, seed: int, schedules: int, workers: int, client: str, **_: Any) -> None:
        if schedules < 1 or workers < 1 or seed < 0:
            raise CommandError("--schedules and --workers: at least 1; --seed: 0 or more")
        if not (ROOT / "node_modules" / "fake-indexeddb").exists():
            raise CommandError("the tablets' database is missing: `make test` brings it")
        starts = range(seed, seed + schedules, SHARD_SIZE)
        shards = [(start, min(SHARD_SIZE, seed + schedules - start)) for start in starts]
        with ThreadPoolExecutor(workers) as pool:
            found = pool.map(lambda shard: _run(shard[0], shard[1], client), shards)
            results = [one for each in found for one in each]
        self._report(results, f"seeds {seed} to {seed + schedules - 1}")
        if any(one[wrong] for one in results for wrong in WRONGS):
            raise CommandError("something went wrong in the schedules listed above")

    def _report(self, results: list[Result], seeds: str) -> None:
        done: Counter[str] = Counter()
        for one in results:
            done.update(one["done"])
        names = ("records", "edits", "lines", "photos")
        records, edits, lines, photos = (done.pop(name, 0) for name in names)
        kept = f"{records} records finished, {edits} drafts saved, {lines} log lines and {photos} photos kept"
        self.stdout.write(f"{len(results)} schedules ({seeds}): {kept}")
        for wrong, words in WRONGS.items():
            self.stdout.write(f"{sum(len(one[wrong]) for one in results)} {words}")
        self.stdout.write("done to them: " + ", ".join(f"{name} {count}" for name, count in sorted(done.items())))
        for line in list(_lines(results))[:SHOWN]:
            self.stdout.write(line)
        if not records or not edits:
            raise CommandError("nothing was finished or nothing was saved: the run shows nothing")


def _lines(results: list[Result]) -> Iterator[str]:
    for one in results:
        for wrong in WRONGS:
            yield from (f"seed {one['seed']}, {wrong}: {what.splitlines()[0]}" for what in one[wrong])


def _run(first: int, count: int, client: str) -> list[Result]:
    command = [sys.executable, "-m", SHARD, str(first), str(count), *([client] if client else [])]
    ended = subprocess.run(command, cwd=Path(ROOT), capture_output=True, text=True, check=False)  # noqa: S603 - our own module
    if ended.returncode:
        raise CommandError(f"schedules {first} to {first + count - 1} did not run: {ended.stderr[-600:]}")
    found: list[Result] = json.loads(ended.stdout.splitlines()[-1])
    return found
