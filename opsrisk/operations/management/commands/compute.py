"""`manage.py compute`: one computation by its name."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from opsrisk.assessment.computations.describe import catalogue, described
from opsrisk.assessment.computations.refused import ComputationRefused, reasons
from opsrisk.assessment.computations.registry import COMPUTATIONS
from opsrisk.operations.computing import compute_here

REFUSED = 2


class Command(BaseCommand):
    help = (
        "Run a computation on an input document and print its answer document. Without a name lists them; without a "
        "file says what one asks and answers. Exits 2 if refused, with one reason a line on standard error."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", nargs="?", help="which computation")
        parser.add_argument("document", nargs="?", help="a file of inputs, or - for standard input")

    def handle(self, *, name: str | None, document: str | None, **_: Any) -> None:
        if name is None:
            width = max(map(len, COMPUTATIONS))
            for one in catalogue():
                self.stdout.write(f"{one['name'].ljust(width)}  {one['question']}")
            return
        if document is None and name in COMPUTATIONS:
            self._print(described(COMPUTATIONS[name]))
            return
        try:
            self._print(compute_here(name, self._given(document)))
        except ComputationRefused as refused:
            for line in reasons(refused.errors):
                self.stderr.write(line)
            sys.exit(REFUSED)

    def _given(self, document: str | None) -> bytes:
        """The bytes of the document; an empty one where only the name was given, which is then refused."""
        if document is None:
            return b"{}"
        if document == "-":
            return sys.stdin.buffer.read()
        try:
            return Path(document).read_bytes()
        except OSError as fault:
            accepted = f"a file that can be read ({fault.strerror})"
            raise ComputationRefused([("document", document, accepted)]) from fault

    def _print(self, document: dict[str, Any]) -> None:
        self.stdout.write(json.dumps(document, ensure_ascii=False, indent=1))
