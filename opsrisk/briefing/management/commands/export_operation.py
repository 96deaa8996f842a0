"""Writes the archive of one operation to a file, as its page on the desk does."""

import hashlib
import os
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from opsrisk import files, jobs
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
        self._write(asked, out)
        self.stdout.write(f"{out}, SHA-256 {asked.sha256}")
        for key_id, key in signing.public_keys().items():
            self.stdout.write(f"server's public key {key_id}: {key}")
        self.stdout.write(f"verify_operation.py in it, SHA-256 {hashlib.sha256(VERIFIER.read_bytes()).hexdigest()}")

    def _write(self, made: Archive, out: Path) -> None:
        """For its owner's eyes only, whatever the shell's umask: it holds names, records and originals of photos."""
        data = files.unchanged(made.file, made.sha256)
        if data is None:
            raise CommandError("the archive's file is missing or was changed")
        try:
            handle = os.open(out, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except OSError as fault:
            raise CommandError(f"--out: given {out}, accepted a new file ({fault})", returncode=2) from fault
        with os.fdopen(handle, "wb") as file:
            archive_actions.hand_out_archive(archive=made, by=None, at=timezone.now())
            file.write(data)

    def _operation(self, given: str) -> Operation:
        try:
            return Operation.objects.select_related("agency").get(pk=given)
        except (Operation.DoesNotExist, ValidationError, ValueError) as fault:
            raise CommandError(f"operation: given {given!r}, accepted the id of an operation", returncode=2) from fault
