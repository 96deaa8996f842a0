"""`manage.py published_cases`: the protocol against published investigations. It reports; it does not judge."""

from argparse import ArgumentParser
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from opsrisk.engine.protocol import read_protocol
from opsrisk.protocols.shipped import BASELINE
from opsrisk.review.investigations import CaseResult, groups, run_cases


class Command(BaseCommand):
    help = "Run a protocol over the published investigations and print hits and misses. Always exits 0."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--protocol", type=Path, default=BASELINE, help="a protocol document (default: the baseline)"
        )

    def handle(self, *, protocol: Path, **_: Any) -> None:
        results = list(run_cases(read_protocol(protocol.read_bytes())))
        self.stdout.write(
            f"{'case':7} {'expected':48} {'given':21} {'score':>5}  hit   flags found; missed; without an id"
        )
        for result in results:
            self._line(result)
        for name, group in groups(results):
            hits = sum(r.hit for r in group)
            found, missed = (sum(len(flags) for flags in column) for column in _columns(group))
            self.stdout.write(f"{name}: {hits} of {len(group)} as expected; flags found {found} of {found + missed}")
        self.stdout.write("One reader's judgement with hindsight: blind spots, not a detection rate.")

    def _line(self, r: CaseResult) -> None:
        flags = "; ".join(" ".join(column) or "-" for column in (r.flags_found, r.flags_missed, r.flags_without_id))
        hit = "hit " if r.hit else "MISS"
        self.stdout.write(f"{r.id:7} {r.expected:48} {r.given:21} {r.score:5}  {hit}  {flags}")
        self.stdout.write(f"{'':7} {r.why}")


def _columns(group: Iterable[CaseResult]) -> tuple[list[tuple[str, ...]], list[tuple[str, ...]]]:
    return [r.flags_found for r in group], [r.flags_missed for r in group]
