"""Writes the archive of one operation to a file, as its page on the desk does."""

import hashlib
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from opsrisk import jobs
from opsrisk.agencies.refusals import Refused
from opsrisk.briefing import archive_actions
from opsrisk.briefing.inquiry.archive import VERIFIER
from opsrisk.briefing.models import Archive
from opsrisk.jobs import run
from opsrisk.ledger import signing
from opsrisk.operations.models import Operation


class Command(BaseCommand):
    help = "Write the archive of an operation (records, signatures, sheets, log with proofs, verifier) to a new file."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("operation", help="the operation's id, from its page's address")
        parser.add_argument("--out", type=Path, required=True, help="the file to write; it must not exist yet")
        parser.add_argument(
            "--reason", required=True, help="for whom and why, 15 characters or more; goes into the log"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        operation, out = self._operation(options["operation"]), options["out"]
        if out.exists():
            raise CommandError(f"--out: given {out}, accepted a file that does not exist yet", returncode=2)
        now = timezone.now()
        try:
            asked = archive_actions.ask_archive(operation=operation, reason=options["reason"], by=None, at=now)
        except Refused as refused:
            raise CommandError(str(refused), returncode=2) from refused
        run(archive_actions.JOB, str(asked.pk))
        jobs.wait()  # the thread was asked as well and must find nothing left to do
        asked = Archive.objects.get(pk=asked.pk)
        if asked.state != Archive.State.READY:
            raise CommandError("the archive could not be made; why is in the log, under give_up_archive")
        archive_actions.hand_out_archive(archive=asked, by=None, at=timezone.now())
        out.write_bytes(asked.path.read_bytes())
        self.stdout.write(f"{out}, SHA-256 {asked.sha256}")
        for key_id, key in signing.public_keys().items():
            self.stdout.write(f"server's public key {key_id}: {key}")
        self.stdout.write(f"verify_operation.py in it, SHA-256 {hashlib.sha256(VERIFIER.read_bytes()).hexdigest()}")

    def _operation(self, given: str) -> Operation:
        try:
            return Operation.objects.select_related("agency").get(pk=given)
        except (Operation.DoesNotExist, ValidationError, ValueError) as fault:
            raise CommandError(f"operation: given {given!r}, accepted the id of an operation", returncode=2) from fault
