"""One run of alterations: what is altered, what the verifier has to hold untouched, and the report.

docs/measurements/tamper.py makes its own operations and runs it; the tests run it on theirs.
"""

from __future__ import annotations

import random
import shutil
import subprocess
import tempfile
from collections import Counter
from collections.abc import Sequence

from opsrisk.assessment.record import canonical
from opsrisk.briefing import seal
from opsrisk.briefing.inquiry import gather
from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.files import unchanged
from opsrisk.ledger import exports, signing
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Operation
from opsrisk.operations.shown import evidence
from tests.briefing.inquiry import campaign, tampering

_UNUSED = random.Random()  # stands where each draw puts its own
SAMPLE = 60  # of altered sheets, each shown to pdfsig
SAID = ("not valid", "valid, not for the whole document", "valid for the whole document")


def exhibits(with_log: Operation, other: Operation) -> campaign.Exhibits:
    """`with_log` has two revisions, a conditions log and a sheet; `other` has a sheet."""
    exports.write()
    made = archive(with_log)
    files = verifier.unpacked(made)
    leaves = [bytes.fromhex(one) for one in Entry.objects.order_by("index").values_list("leaf_hash", flat=True)]
    heads = [head.document() for head in exports.read(exports.path())]
    authorities = verifier.certificates_in(seal.authorities())
    sheet = next(data for one in gather.sheets(with_log) if (data := unchanged(one.path, one.sha256)))
    of = campaign.Exhibits(
        archive=made,
        earlier=_shorter(files),
        target=tampering.Target(files, verifier.unpacked(archive(other)), leaves, _UNUSED),
        sheet=sheet,
        evidence=canonical(evidence(with_log.assessments.order_by("-revision")[0])),
        anchors=verifier.Anchors(signing.public_keys(), authorities, (), heads),
        later_head=dict(heads[-1]),
    )
    for name, data, by in (("a.zip", made, of.anchors), ("sheet.pdf", sheet, of.without_log)):
        untouched = verifier.verify(name, data, by)
        assert untouched.code == 0, untouched.lines  # or what is told of the altered ones would say nothing
    return of


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
    rng = random.Random(seed)
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
        done = subprocess.run(asked, capture_output=True, check=False)
    if b"Signature is Valid" not in done.stdout:
        return SAID[0]
    return SAID[2] if b"Total document signed" in done.stdout else SAID[1]


def report(found: dict[str, campaign.Tally], how: Sequence[str], poppler: dict[str, Counter[str]]) -> str:
    """In Markdown. `how` says by which command, when and on what it was made."""
    lines = [
        "# Alterations and the verifier",
        "",
        *how,
        "Altered in each draw: one byte, or one graft. `missed` means that the verifier said that everything was checked",
        "and holds. The operations that are altered are made for it, with keys of their own.",
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


def missed(found: dict[str, campaign.Tally]) -> list[str]:
    return [what for tally in found.values() for what in tally.missed]
