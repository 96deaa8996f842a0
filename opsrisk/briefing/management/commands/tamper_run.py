"""`manage.py tamper_run`: alterations of what an operation's archive holds; the verifier has to notice each."""

from __future__ import annotations

import random
import shutil
import subprocess
import tempfile
import time
from argparse import ArgumentParser
from collections import Counter
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db.models import Count

from opsrisk.assessment.record import canonical
from opsrisk.briefing import seal
from opsrisk.briefing.inquiry import campaign, gather, tampering
from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.files import unchanged
from opsrisk.ledger import exports, signing
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Operation
from opsrisk.operations.shown import evidence

_UNUSED = random.Random()  # noqa: S311 - stands where each draw puts its own
SAMPLE = 60  # of altered sheets, each shown to pdfsig
SAID = ("not valid", "valid, not for the whole document", "valid for the whole document")


class Command(BaseCommand):
    help = (
        "Alter an operation's archive, sheets, record and log in seeded ways and count what the verifier misses. Reads "
        "only. Needs an operation with two revisions, a conditions log and a sheet, and another one with a sheet. "
        "Exit 1 if anything was missed."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--count", type=int, default=1000)
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--report", type=Path, help="a file for the result, in Markdown")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["count"] < 1:
            raise CommandError("--count: at least 1", returncode=2)
        of = _exhibits()
        for name, data, by in (("a.zip", of.archive, of.anchors), ("sheet.pdf", of.sheet, of.without_log)):
            untouched = verifier.verify(name, data, by)
            if untouched.code:
                raise CommandError(f"{name}: does not hold even untouched: {untouched.lines}")
        began = time.monotonic()
        found = campaign.campaign(of, options["count"], options["seed"])
        text = report(found, options, time.monotonic() - began, by_pdfsig(of.sheet, options["seed"]))
        self.stdout.write(text)
        if options["report"]:
            options["report"].write_text(text)
        missed = [what for tally in found.values() for what in tally.missed]
        if missed:
            raise CommandError("missed: " + "; ".join(missed[:20]))


def _exhibits() -> campaign.Exhibits:
    """From this installation's own rows: the operation with the most revisions that has what is altered."""
    rows = Operation.objects.filter(assessments__sheets__state="ready").distinct().annotate(many=Count("assessments"))
    with_log = rows.filter(log__isnull=False, many__gte=2).order_by("-many", "pk").first()
    other = rows.exclude(pk=with_log.pk).order_by("pk").first() if with_log else None
    if with_log is None or other is None:
        raise CommandError("operations: given none that fits, accepted as `--help` says", returncode=2)
    exports.write()
    made = archive(with_log)
    files = verifier.unpacked(made)
    leaves = [bytes.fromhex(one) for one in Entry.objects.order_by("index").values_list("leaf_hash", flat=True)]
    heads = [head.document() for head in exports.read(exports.path())]
    authorities = verifier.certificates_in(seal.authorities())
    newest = with_log.assessments.order_by("-revision").first()
    sheet = next(data for one in gather.sheets(with_log) if (data := unchanged(one.path, one.sha256)))
    later = dict(heads[-1])
    return campaign.Exhibits(
        archive=made,
        earlier=_shorter(files),
        target=tampering.Target(files, verifier.unpacked(archive(other)), leaves, _UNUSED),
        sheet=sheet,
        evidence=canonical(evidence(newest)) if newest else b"",
        anchors=verifier.Anchors(signing.public_keys(), authorities, (), heads),
        later_head=later,
    )


def _shorter(files: dict[str, bytes]) -> bytes:
    """The same archive under the last head but one, as it would have been made then by who holds the key."""
    target = tampering.Target(files, files, [], _UNUSED)
    heads = verifier.read(files["log/heads.json"], "log/heads.json")
    older = {name: value for name, value in heads[0].items() if name != "consistency"}
    return tampering.by_the_insider(files, target.document | {"head": older})


def by_pdfsig(sheet: bytes, seed: int) -> dict[str, Counter[str]]:
    """What poppler's pdfsig says of some altered sheets."""
    if not shutil.which("pdfsig"):
        return {}
    rng = random.Random(seed)  # noqa: S311 - chance that can be repeated
    ways = {
        "a byte anywhere": tampering.flipped,
        "a digit of the padding behind the seal": campaign.padded_otherwise,
        "a letter of the seal written small": campaign.spelt_otherwise,
    }
    return {name: Counter(_said(way(sheet, rng)[0]) for _ in range(SAMPLE)) for name, way in ways.items()}


def _said(altered: bytes) -> str:
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(altered)
        file.flush()
        asked = ["pdfsig", "-nocert", file.name]
        done = subprocess.run(asked, capture_output=True, check=False)  # noqa: S603 - a program and a file of our own
    if b"Signature is Valid" not in done.stdout:
        return SAID[0]
    return SAID[2] if b"Total document signed" in done.stdout else SAID[1]


def report(found: dict[str, Any], options: dict[str, Any], took: float, poppler: dict[str, Counter[str]]) -> str:
    lines = [
        "# Alterations and the verifier",
        "",
        f"`manage.py tamper_run --count {options['count']} --seed {options['seed']}`, {took:.0f} s on a shared machine",
        "with 2 cores. Altered in each draw: one byte, or one graft. `missed` means that the verifier said that",
        "everything was checked and holds.",
        "",
        "| altered | tried | told as altered | told as not checked | missed |",
        "| --- | --- | --- | --- | --- |",
    ]
    for name, tally in found.items():
        lines.append(f"| {name} | {tally.tried} | {tally.altered} | {tally.unchecked} | {len(tally.missed)} |")
    sums = [sum(getattr(tally, name) for tally in found.values()) for name in ("tried", "altered", "unchecked")]
    missed = sum(len(tally.missed) for tally in found.values())
    lines += [f"| **all** | {sums[0]} | {sums[1]} | {sums[2]} | **{missed}** |", ""]
    if poppler:
        lines += [f"What poppler's `pdfsig` says of {SAMPLE} sheets each:", ""]
        lines += [f"| altered | {' | '.join(SAID)} |", "| --- | --- | --- | --- |"]
        lines += [f"| {name} | {' | '.join(str(found[word]) for word in SAID)} |" for name, found in poppler.items()]
        lines += [
            "",
            "No seal covers itself. The verifier sees all three: by the one spelling that it accepts, by zeros",
        ]
        lines += ["where there have to be zeros, and by the SHA-256 of the file in the log.", ""]
    return "\n".join(lines)
