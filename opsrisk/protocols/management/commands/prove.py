"""`manage.py prove`: is a protocol fit to be adopted? One line a property, and what breaks it."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from opsrisk.engine.findings import in_words
from opsrisk.engine.parts import Protocol
from opsrisk.engine.proof import proving
from opsrisk.engine.protocol import ProtocolRefused, read_protocol
from opsrisk.protocols.edits import EditRefused, edited
from opsrisk.protocols.shipped import BASELINE

NOT_PROVEN, REFUSED = 1, 2


class Command(BaseCommand):
    help = (
        "Prove the nine properties of a protocol document over every situation there is, or show the two situations "
        "that break one. Exits 0 if all are proven, 1 if not, 2 for a refused document (reasons on standard error)."
    )
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("protocol", type=Path, nargs="?", default=BASELINE, help="a file (default: the baseline)")
        parser.add_argument("--edits", type=Path, help="a file of edits to make first, as in fixtures/protocols/broken")

    def handle(self, *, protocol: Path, edits: Path | None, **_: Any) -> None:
        rules = self._read(protocol, edits)
        proven = True
        for result in proving(rules):
            proven = proven and result.proven
            for line in in_words(rules, result):
                self.stdout.write(line)
            self.stdout.flush()
        self.stdout.write(f"{rules.id} {rules.version}: {'proven' if proven else 'NOT PROVEN: it may not be adopted'}")
        sys.exit(0 if proven else NOT_PROVEN)

    def _read(self, path: Path, edits: Path | None) -> Protocol:
        try:
            text = path.read_bytes()
            if edits:
                read_protocol(text)  # edits are made to a protocol, not to something that only looks like one
                text = json.dumps(edited(json.loads(text), json.loads(edits.read_bytes())["edits"])).encode()
            return read_protocol(text)
        except ProtocolRefused as refused:
            self._refuse(refused.errors)
        except EditRefused as refused:
            self._refuse([(refused.place, refused.given, refused.accepted)])
        except (KeyError, TypeError, ValueError) as fault:
            self._refuse([("edits", f"{type(fault).__name__}: {fault}", "a JSON object with a list 'edits'")])
        except OSError as fault:
            self._refuse([("document", str(fault.filename), f"a file that can be read ({fault.strerror})")])
        sys.exit(REFUSED)

    def _refuse(self, errors: list[tuple[str, str, str]]) -> None:
        for place, given, accepted in errors:
            self.stderr.write(f"protocol: {place}: given {given}; accepted: {accepted}")
