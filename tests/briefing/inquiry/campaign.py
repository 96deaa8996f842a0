"""Many alterations, drawn from a seed, and how many of them the verifier missed."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from opsrisk.briefing.verifier import verify_operation as verifier
from tests.briefing.inquiry import tampering

LOG_FILES = ("log/entries.jsonl", "log/proofs.json", "log/heads.json", "conditions.jsonl")
PROVEN = ("/record.json", "/signatures.json")


@dataclass(frozen=True)
class Exhibits:
    """What is altered: an archive, one made earlier, one of another operation, a sheet, a record's file."""

    archive: bytes
    earlier: bytes  # the archive of another moment, replayed
    target: tampering.Target
    sheet: bytes
    evidence: bytes
    anchors: verifier.Anchors
    later_head: dict[str, Any]  # from after `earlier` was made

    @property
    def without_log(self) -> verifier.Anchors:
        """What a sheet alone can be judged by: heads of the log are nothing to it."""
        return verifier.Anchors(self.anchors.keys, self.anchors.authorities)


@dataclass
class Tally:
    tried: int = 0
    altered: int = 0  # exit code 1
    unchecked: int = 0  # exit code 2
    missed: list[str] = field(default_factory=list)  # exit code 0

    def count(self, code: int, what: str) -> None:
        self.tried += 1
        self.altered += code == 1
        self.unchecked += code == 2
        if code == 0:
            self.missed.append(what)


Draw = Callable[[Exhibits, random.Random], tuple[int, str]]


def _archive_byte(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    data, place = tampering.flipped(of.archive, rng)
    return verifier.verify("a.zip", data, of.anchors).code, f"byte {place}"


def _member_byte(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    """In any file of the archive, packed again by somebody without the server's key."""
    name = rng.choice(sorted(of.target.files))
    data, place = tampering.flipped(of.target.files[name], rng)
    packed = verifier.packed(of.target.files | {name: data})
    return verifier.verify("a.zip", packed, of.anchors).code, f"{name} byte {place}"


def _proven_byte(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    """In a record, signatures, rules or the log, listed and signed anew with the server's key."""
    names = [name for name in of.target.files if name.endswith(PROVEN) or name in LOG_FILES]
    names += [name for name in of.target.files if name.startswith(("protocols/", "sheets/"))]
    name = rng.choice(sorted(name for name in names if len(of.target.files[name]) > 2))
    data, place = tampering.flipped(of.target.files[name], rng)
    packed = tampering.by_the_insider(of.target.files | {name: data}, of.target.document)
    return verifier.verify("a.zip", packed, of.anchors).code, f"{name} byte {place}"


def _sheet_alone(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    data, place = tampering.flipped(of.sheet, rng)
    return verifier.verify("sheet.pdf", data, of.without_log).code, f"byte {place}"


def padding_of(sheet: bytes) -> range:
    """The places of the zeros behind the seal."""
    first, length, second, _ = map(int, verifier.BYTE_RANGE.findall(sheet)[0])
    used = len(verifier.sealed_parts(sheet)[1])
    return range(first + length + 1 + 2 * used, second - 1)


def padded_otherwise(sheet: bytes, rng: random.Random) -> tuple[bytes, int]:
    """A zero of the padding made another digit: the file stays one that any reader can read."""
    place = rng.choice(padding_of(sheet))
    return sheet[:place] + rng.choice("123456789ABCDEF").encode() + sheet[place + 1 :], place


def spelt_otherwise(sheet: bytes, rng: random.Random) -> tuple[bytes, int]:
    """A letter of the seal's hexadecimal digits written small: the same seal, another file."""
    first, length, second, _ = map(int, verifier.BYTE_RANGE.findall(sheet)[0])
    place = rng.choice([n for n in range(first + length, second) if sheet[n] in b"ABCDEF"])
    return sheet[:place] + sheet[place : place + 1].lower() + sheet[place + 1 :], place


def _spelling(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    data, place = spelt_otherwise(of.sheet, rng)
    return verifier.verify("sheet.pdf", data, of.without_log).code, f"byte {place}"


def _padding_by_its_seal(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    data, place = padded_otherwise(of.sheet, rng)
    return verifier.verify("sheet.pdf", data, of.without_log).code, f"byte {place}"


def _padding(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    """Behind the seal, where readers of PDF do not look; beside an archive, so that the log's SHA-256 speaks."""
    data, place = padded_otherwise(of.sheet, rng)
    found = verifier.Findings()
    verifier.check_logged_sheet(found, "sheet.pdf", data, _entries(of))
    return found.code, f"byte {place}"


def _sheet_beside_archive(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    """The log's SHA-256 alone, without looking at the seal."""
    data, place = tampering.flipped(of.sheet, rng)
    found = verifier.Findings()
    verifier.check_logged_sheet(found, "sheet.pdf", data, _entries(of))
    return found.code, f"byte {place}"


def _entries(of: Exhibits) -> dict[int, Any]:
    files, document = of.target.files, of.target.document
    proofs = verifier.read(files["log/proofs.json"], "log/proofs.json")
    found: dict[int, Any] = verifier.check_entries(
        verifier.Findings(), files["log/entries.jsonl"], proofs, document["head"]
    )
    return found


def _evidence_byte(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    data, place = tampering.flipped(of.evidence, rng)
    return verifier.verify("record.json", data, verifier.Anchors(keys=of.anchors.keys)).code, f"byte {place}"


def _graft(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    act = rng.choice(tampering.GRAFTS)
    made = act(tampering.seeded(of.target, rng.randrange(2**32)))
    return verifier.verify("a.zip", made, of.anchors).code, act.__name__


def _replay(of: Exhibits, rng: random.Random) -> tuple[int, str]:
    """An archive made earlier, against a head from later."""
    anchors = verifier.Anchors(keys=of.anchors.keys, heads=[of.later_head])
    return verifier.verify("a.zip", of.earlier, anchors).code, "an earlier archive"


KINDS: dict[str, tuple[int, Draw]] = {  # of each hundred
    "a byte of the archive": (20, _archive_byte),
    "a byte of a file in it, packed again": (12, _member_byte),
    "a byte of what is proven inside, listed and signed anew by who holds the server's key": (14, _proven_byte),
    "a byte of a sheet, judged by its seal alone": (12, _sheet_alone),
    "a digit of the padding behind a sheet's seal, judged by the file alone": (2, _padding_by_its_seal),
    "a letter of a sheet's seal written small, judged by the file alone": (2, _spelling),
    "a byte of a sheet, judged by the log's SHA-256 alone": (6, _sheet_beside_archive),
    "a digit of the padding behind a sheet's seal, judged by the log's SHA-256 alone": (4, _padding),
    "a byte of a record's file": (16, _evidence_byte),
    "a graft, omission or forgery by who holds the server's key": (11, _graft),
    "a replay of an earlier archive": (1, _replay),
}


def kinds(count: int) -> Iterator[tuple[str, Draw]]:
    """`count` draws in the shares above, in turn."""
    row = [(name, draw) for name, (share, draw) in KINDS.items() for _ in range(share)]
    for number in range(count):
        yield row[number * 37 % len(row)]


def campaign(of: Exhibits, count: int, seed: int) -> dict[str, Tally]:
    """Each draw has a seed of its own, so that one that was missed can be repeated alone."""
    found = {name: Tally() for name in KINDS}
    for number, (name, draw) in enumerate(kinds(count)):
        code, what = draw(of, random.Random(f"{seed} {number}"))
        found[name].count(code, f"draw {number}: {what}")
    return found
