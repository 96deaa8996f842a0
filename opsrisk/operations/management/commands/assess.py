"""`manage.py assess`: a situation document in, the decision document out."""

import json
import sys
from argparse import ArgumentParser
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from opsrisk.assessment.assess import CannotAssess, assess
from opsrisk.assessment.situation import SituationRefused, read_situation
from opsrisk.engine.parts import Protocol
from opsrisk.engine.protocol import ProtocolRefused, read_protocol
from opsrisk.protocols.shipped import BASELINE

REFUSED, CANNOT_ASSESS = 2, 3


class Command(BaseCommand):
    help = (
        "Decide on a situation document and print the decision document. Exits 0 for every decision, 2 for a "
        "refused document (reasons on standard error, one a line), 3 if the engine cannot assess."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("situation", help="a file, or - for standard input")
        parser.add_argument(
            "--protocol", type=Path, default=BASELINE, help="a protocol document (default: the baseline)"
        )
        parser.add_argument("--lines", action="store_true", help="one document a line, one answer a line")

    def handle(self, *, situation: str, protocol: Path, lines: bool, **_: Any) -> None:
        try:
            rules = read_protocol(protocol.read_bytes())
            given = sys.stdin.buffer.read() if situation == "-" else Path(situation).read_bytes()
        except ProtocolRefused as refused:
            self._refuse("protocol: ", refused.errors)
            sys.exit(REFUSED)
        except OSError as fault:
            self.stderr.write(f"document: given {fault.filename}; accepted: a file that can be read ({fault.strerror})")
            sys.exit(REFUSED)
        if not lines:
            sys.exit(self._answer(given, rules, ""))
        codes = [
            self._answer(line, rules, f"line {n}: ") for n, line in enumerate(given.splitlines(), 1) if line.strip()
        ]
        sys.exit(max(codes, default=0))

    def _answer(self, document: bytes, protocol: Protocol, prefix: str) -> int:
        """Write the answer to one document; the exit code it calls for."""
        try:
            decision = assess(read_situation(document, now=datetime.now(UTC)), protocol)
        except SituationRefused as refused:
            self._refuse(prefix, refused.errors)
            if prefix:  # keep one answer a line
                errors = [dict(zip(("field", "given", "accepted"), error, strict=True)) for error in refused.errors]
                self.stdout.write(json.dumps({"format": "opsrisk.refusal/1", "errors": errors}))
            return REFUSED
        except CannotAssess as fault:
            self.stderr.write(f"{prefix}{fault}")
            if prefix:
                self.stdout.write(
                    json.dumps({"format": "opsrisk.refusal/1", "errors": [], "cannot_assess": str(fault)})
                )
            return CANNOT_ASSESS
        self.stdout.write(json.dumps(decision, ensure_ascii=False, indent=None if prefix else 1))
        return 0

    def _refuse(self, prefix: str, errors: list[tuple[str, str, str]]) -> None:
        for field, given, accepted in errors:
            self.stderr.write(f"{prefix}{field}: given {given}; accepted: {accepted}")
