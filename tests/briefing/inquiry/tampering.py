"""Ways of altering what was exported, to see whether the verifier notices. Every one is an attack that must fail.

Two adversaries. *Anybody* has the files. *The insider* holds the server's key as well and lists and signs the altered
archive anew, so that only what is anchored elsewhere can give them away: people's signing codes, heads kept elsewhere,
and the agency's certificate.
"""

from __future__ import annotations

import base64
import copy
import hashlib
import json
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from opsrisk.assessment.record import canonical, digest
from opsrisk.briefing.inquiry.archive import sealed
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.ledger import chain, signing

Files = dict[str, bytes]


@dataclass(frozen=True)
class Target:
    """What is attacked: an archive's files, those of another operation of the same server, and the whole log."""

    files: Files
    other: Files
    leaves: list[bytes]  # leaf hashes of the whole log, which the insider can read
    rng: random.Random

    @property
    def document(self) -> dict[str, Any]:
        found: dict[str, Any] = json.loads(self.files[verifier.MANIFEST])
        return found

    @property
    def folders(self) -> list[str]:
        return [one["folder"] for one in self.document["revisions"]]

    def other_folder(self) -> str:
        return str(json.loads(self.other[verifier.MANIFEST])["revisions"][0]["folder"])


def flipped(data: bytes, rng: random.Random) -> tuple[bytes, int]:
    """`data` with one byte made another, and its place."""
    place = rng.randrange(len(data))
    return data[:place] + bytes([data[place] ^ rng.randrange(1, 256)]) + data[place + 1 :], place


def by_the_insider(files: Mapping[str, bytes], document: dict[str, Any]) -> bytes:
    """The altered files, listed and signed anew with the server's own key."""
    kept = {name: data for name, data in files.items() if name not in {verifier.MANIFEST, verifier.MANIFEST_SIGNATURE}}
    listed = {name: hashlib.sha256(data).hexdigest() for name, data in kept.items()}
    return sealed(kept, document | {"files": listed})


def _with(target: Target, **changed: bytes) -> bytes:
    return by_the_insider(target.files | changed, target.document)


def _json(files: Mapping[str, bytes], name: str) -> Any:
    return json.loads(files[name])


# --- grafts: good parts in the wrong place ---


def signatures_of_another_record(target: Target) -> bytes:
    """A's signatures on B."""
    name = f"{target.rng.choice(target.folders)}/signatures.json"
    return _with(target, **{name: target.other[f"{target.other_folder()}/signatures.json"]})


def signature_relabelled(target: Target) -> bytes:
    """A's signature on B, with B's digest written over A's."""
    folder = target.rng.choice(target.folders)
    of = digest(_json(target.files, f"{folder}/record.json"))
    grafted = [one | {"record": of} for one in _json(target.other, f"{target.other_folder()}/signatures.json")]
    return _with(target, **{f"{folder}/signatures.json": canonical(grafted)})


def signature_of_another_meaning(target: Target) -> bytes:
    """Who was briefed is made to have reviewed, or who decided to have been briefed."""
    folder = target.rng.choice(target.folders)
    given = _json(target.files, f"{folder}/signatures.json")
    one = target.rng.choice(given)
    one["meaning"] = target.rng.choice(
        [m for m in ("decided", "reviewed", "briefed", "overrode") if m != one["meaning"]]
    )
    return _with(target, **{f"{folder}/signatures.json": canonical(given)})


def signature_by_a_stranger(target: Target) -> bytes:
    """A good signature in the right name, by a key that was never that person's, with receipts that list it."""
    folder = target.rng.choice(target.folders)
    given = _json(target.files, f"{folder}/signatures.json")
    key = Ed25519PrivateKey.from_private_bytes(target.rng.randbytes(32))
    one = target.rng.choice(given)
    before = digest(one)
    said = canonical({name: one[name] for name in verifier.ACT})
    one["public_key"] = base64.b64encode(key.public_key().public_bytes_raw()).decode()
    one["signature"] = base64.b64encode(key.sign(said)).decode()
    receipts = [
        _again(each, without=before, instead=digest(one)) for each in _json(target.files, f"{folder}/receipts.json")
    ]
    changed = {f"{folder}/signatures.json": canonical(given), f"{folder}/receipts.json": canonical(receipts)}
    return _with(target, **changed)


def signature_taken_away(target: Target) -> bytes:
    """One signature fewer, and receipts that never listed it."""
    folder = target.rng.choice(target.folders)
    given = _json(target.files, f"{folder}/signatures.json")
    gone = given.pop(target.rng.randrange(len(given)))
    receipts = [_again(one, without=digest(gone)) for one in _json(target.files, f"{folder}/receipts.json")]
    changed = {f"{folder}/signatures.json": canonical(given), f"{folder}/receipts.json": canonical(receipts)}
    return _with(target, **changed)


def receipt_of_another_record(target: Target) -> bytes:
    """The receipt of one record beside another."""
    name = f"{target.rng.choice(target.folders)}/receipts.json"
    return _with(target, **{name: target.other[f"{target.other_folder()}/receipts.json"]})


def receipts_swapped(target: Target) -> bytes:
    """The receipts of two revisions of this operation, each beside the other."""
    first, second = target.rng.sample(target.folders, 2)
    names = f"{first}/receipts.json", f"{second}/receipts.json"
    return _with(target, **{names[0]: target.files[names[1]], names[1]: target.files[names[0]]})


def record_of_another_operation(target: Target) -> bytes:
    """A whole good record, with its own signatures and receipt, in this operation's archive."""
    folder, theirs = target.rng.choice(target.folders), target.other_folder()
    names = ("record.json", "signatures.json", "receipts.json")
    document = target.document
    for one in document["revisions"]:
        if one["folder"] == folder:
            one["digest"] = digest(_json(target.other, f"{theirs}/record.json"))
    changed = {f"{folder}/{name}": target.other[f"{theirs}/{name}"] for name in names}
    return by_the_insider(target.files | changed, document)


def sheet_of_another_operation(target: Target) -> bytes:
    """Another operation's sheet under this one's name."""
    ours = target.rng.choice(target.document["sheets"])["file"]
    theirs = json.loads(target.other[verifier.MANIFEST])["sheets"][0]["file"]
    return _with(target, **{ours: target.other[theirs]})


# --- things altered, left out or put back ---


def record_altered(target: Target) -> bytes:
    """A reading made better after the fact, with a new receipt: only the people's signatures stand in the way."""
    folder = target.rng.choice(target.folders)
    record = _json(target.files, f"{folder}/record.json")
    reading = target.rng.choice([one for one in record["situation"]["readings"].values() if "value" in one])
    reading["value"] = "9" + str(reading["value"])
    of, document = digest(record), target.document
    for one in document["revisions"]:
        if one["folder"] == folder:
            one["digest"] = of
    receipts = [_again(one, digest=of) for one in _json(target.files, f"{folder}/receipts.json")]
    changed = {f"{folder}/record.json": canonical(record), f"{folder}/receipts.json": canonical(receipts)}
    return by_the_insider(target.files | changed, document)


def revision_left_out(target: Target) -> bytes:
    """One revision fewer, its sheets and its files with it."""
    document = target.document
    gone = document["revisions"].pop(target.rng.randrange(len(document["revisions"])))
    files = {name: data for name, data in target.files.items() if not name.startswith(gone["folder"])}
    return by_the_insider(files, document)


def sheet_left_out(target: Target) -> bytes:
    document = target.document
    gone = document["sheets"].pop(target.rng.randrange(len(document["sheets"])))
    return by_the_insider({name: data for name, data in target.files.items() if name != gone["file"]}, document)


def line_left_out(target: Target) -> bytes:
    """A reading that came during the dive is no longer in the conditions log."""
    lines = target.files["conditions.jsonl"].splitlines(keepends=True)
    lines.pop(target.rng.randrange(len(lines)))
    return _with(target, **{"conditions.jsonl": b"".join(lines)})


def line_altered(target: Target) -> bytes:
    lines = [json.loads(one) for one in target.files["conditions.jsonl"].splitlines()]
    target.rng.choice(lines)["at"] = "2026-06-01T13:59:00+00:00"
    return _with(target, **{"conditions.jsonl": b"".join(canonical(one) + b"\n" for one in lines)})


def protocol_altered(target: Target) -> bytes:
    """Another limit in the rules, with the digest that the record names left as it was."""
    name = target.document["protocols"][0]["file"]
    document = _json(target.files, name)
    document["title"] = f"{document['title']} {target.rng.randrange(10**6)}"
    return _with(target, **{name: canonical(document)})


def entry_altered(target: Target) -> bytes:
    """Another time or name in an entry of the log."""
    entries = [json.loads(one) for one in target.files["log/entries.jsonl"].splitlines()]
    target.rng.choice(entries)[target.rng.choice(["actor_name", "at", "verb", "actor", "subject_id"])] = "somebody else"
    return _with(target, **{"log/entries.jsonl": b"".join(canonical(one) + b"\n" for one in entries)})


def entry_left_out(target: Target) -> bytes:
    """The entry by which a record, a line or a sheet came."""
    lines = target.files["log/entries.jsonl"].splitlines(keepends=True)
    telling = ("receive_record", "receive_signatures", "log_reading", "log_recall", "seal_sheet")
    places = [n for n, line in enumerate(lines) if json.loads(line)["verb"] in telling]
    gone = json.loads(lines.pop(target.rng.choice(places)))["index"]
    proofs = _json(target.files, "log/proofs.json")
    del proofs[str(gone)]
    return _with(target, **{"log/entries.jsonl": b"".join(lines), "log/proofs.json": canonical(proofs)})


def entries_reordered(target: Target) -> bytes:
    lines = target.files["log/entries.jsonl"].splitlines(keepends=True)
    place = target.rng.randrange(len(lines) - 1)
    lines[place], lines[place + 1] = lines[place + 1], lines[place]
    return _with(target, **{"log/entries.jsonl": b"".join(lines)})


def log_hashed_anew(target: Target) -> bytes:
    """An entry altered, the whole log hashed again and a new head signed: only a head kept elsewhere tells."""
    entries = [json.loads(one) for one in target.files["log/entries.jsonl"].splitlines()]
    # an entry that the heads kept elsewhere cover, and that nothing but the log speaks of
    one = next(entry for entry in entries if entry["verb"] == "set_signing_code")
    one["logged_at"] = f"2026-06-01T12:00:00.{target.rng.randrange(10**6):06d}+00:00"
    leaves = list(target.leaves)
    leaves[one["index"]] = chain.leaf_hash(canonical(one))
    tree, head = chain.Tree(leaves), target.document["head"]
    head = head | {"root": tree.root().hex()}
    said = canonical({name: head[name] for name in ("format", "size", "root", "at")})
    made = signing.sign(said)
    head |= {"key_id": made.key_id, "signature": made.signature}
    proofs = {str(e["index"]): [node.hex() for node in tree.inclusion(e["index"])] for e in entries}
    changed = {
        "log/entries.jsonl": b"".join(canonical(entry) + b"\n" for entry in entries),
        "log/proofs.json": canonical(proofs),
    }
    return by_the_insider(target.files | changed, target.document | {"head": head})


def file_put_in(target: Target) -> bytes:
    """A file more, that is not listed."""
    return verifier.packed(target.files | {"attachments/note.txt": target.rng.randbytes(20)})


def page_altered(target: Target) -> bytes:
    """Another word on the page to read, by somebody without the server's key."""
    data, _ = flipped(target.files["index.html"], target.rng)
    return verifier.packed(target.files | {"index.html": data})


def listed_by_another_key(target: Target) -> bytes:
    """Altered, listed anew and signed with a key of the attacker's own, which is put among the server's."""
    files: Files = copy.copy(target.files)
    files["index.html"] = files["index.html"].replace(b"Stops", b"Stop")
    key = Ed25519PrivateKey.from_private_bytes(target.rng.randbytes(32))
    public = base64.b64encode(key.public_key().public_bytes_raw()).decode()
    own = signing.key_id_of(key.public_key().public_bytes_raw())
    server = _json(files, "keys/server.json")
    files["keys/server.json"] = canonical(server | {"keys": server["keys"] | {own: public}})
    kept = {name: one for name, one in files.items() if name not in {verifier.MANIFEST, verifier.MANIFEST_SIGNATURE}}
    listed = {name: hashlib.sha256(one).hexdigest() for name, one in kept.items()}
    document = canonical(target.document | {"files": listed})
    signed = {"key_id": own, "signature": base64.b64encode(key.sign(document)).decode()}
    return verifier.packed(kept | {verifier.MANIFEST: document, verifier.MANIFEST_SIGNATURE: canonical(signed)})


def _again(receipt: Mapping[str, Any], without: str = "", instead: str = "", **changes: Any) -> dict[str, Any]:
    """A receipt with other content that the server's key signed again; `instead` stands where `without` was listed."""
    made = {**receipt, **changes}
    if "signatures" in made:
        kept = [one for one in made["signatures"] if one != without]
        made["signatures"] = sorted([*kept, instead] if instead and len(kept) < len(made["signatures"]) else kept)
    signed = signing.sign(canonical({name: made[name] for name in verifier.RECEIPTS[made["format"]]}))
    return made | {"countersignature": {"key_id": signed.key_id, "signature": signed.signature}}


GRAFTS: tuple[Callable[[Target], bytes], ...] = (
    signatures_of_another_record,
    signature_relabelled,
    signature_of_another_meaning,
    signature_by_a_stranger,
    signature_taken_away,
    receipt_of_another_record,
    receipts_swapped,
    record_of_another_operation,
    sheet_of_another_operation,
    record_altered,
    revision_left_out,
    sheet_left_out,
    line_left_out,
    line_altered,
    protocol_altered,
    entry_altered,
    entry_left_out,
    entries_reordered,
    log_hashed_anew,
    file_put_in,
    page_altered,
    listed_by_another_key,
)


def seeded(target: Target, seed: int) -> Target:
    return replace(target, rng=random.Random(seed))
