"""`manage.py plan`: a situation and what a plan needs beyond it in, the plan document out."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from opsrisk.assessment.computations.refused import ComputationRefused, reasons
from opsrisk.assessment.plan import plan_lines
from opsrisk.assessment.situation import SituationRefused, parsed
from opsrisk.engine.protocol import ProtocolRefused
from opsrisk.operations.computing import plan_here
from opsrisk.protocols.shipped import BASELINE

REFUSED = 2


class Command(BaseCommand):
    help = "Print the plan of a situation. Exits 2 if refused, with one reason a line on standard error."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("situation", help="a situation document, or - for standard input")
        parser.add_argument("inputs", nargs="?", help="a plan inputs document")
        parser.add_argument(
            "--protocol", type=Path, default=BASELINE, help="a protocol document (default: the baseline)"
        )
        parser.add_argument("--lines", action="store_true", help="only the lines for a sheet")

    def handle(self, *, situation: str, inputs: str | None, protocol: Path, lines: bool, **_: Any) -> None:
        try:
            given = {"situation": _read(situation)} | ({} if inputs is None else {"inputs": _read(inputs)})
            document = plan_here(json.dumps(given, default=str), protocol.read_text(encoding="utf-8"))
        except (ComputationRefused, SituationRefused, ProtocolRefused) as refused:
            for line in reasons(refused.errors):
                self.stderr.write(line)
            sys.exit(REFUSED)
        except OSError as fault:
            self.stderr.write(f"document: given {fault.filename}; accepted: a file that can be read ({fault.strerror})")
            sys.exit(REFUSED)
        self.stdout.write(
            "\n".join(plan_lines(document)) if lines else json.dumps(document, ensure_ascii=False, indent=1)
        )


def _read(name: str) -> Any:
    """The JSON of a file, names written twice refused; numbers stay as they were typed."""
    return parsed(sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes())
