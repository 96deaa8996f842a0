"""The server's own Ed25519 key: made on first run, rotated on request, old public keys kept for ever.

A folder holds `current` (the id of the key in use), `<id>.key` (its private part, mode 600), one `<id>.pub`
for every key there ever was, and one `<id>.handover` for each that followed another. The id is the beginning of the
SHA-256 of the public key.
"""

import base64
import contextlib
import hashlib
import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from django.conf import settings

from opsrisk.assessment.record import canonical

HANDOVER = "opsrisk.key_handover/1"


class UnknownKey(LookupError):
    """No public key of this id was ever made here."""


@dataclass(frozen=True)
class Signed:
    key_id: str
    signature: str


def folder() -> Path:
    path = Path(settings.DATA) / "keys"
    path.mkdir(parents=True, exist_ok=True, mode=0o700)
    return path


def key_id_of(public_key: bytes) -> str:
    return hashlib.sha256(public_key).hexdigest()[:16]


def sign(message: bytes) -> Signed:
    """Signs with the key in use; makes one when there is none yet."""
    key_id, key = _current()
    return Signed(key_id, base64.b64encode(key.sign(message)).decode())


def verify(message: bytes, signed: Signed) -> bool:
    """Whether the key named in `signed` made this signature. Raises UnknownKey for an id that was never ours."""
    return verify_by(public_keys().get(signed.key_id, ""), message, signed.signature, signed.key_id)


def verify_by(public_key: str, message: bytes, signature: str, key_id: str = "") -> bool:
    """Whether the holder of this base64 public key made this base64 signature."""
    if not public_key:
        raise UnknownKey(f"key_id: given {key_id!r}, accepted {', '.join(public_keys())}")
    try:
        key = Ed25519PublicKey.from_public_bytes(_plain_base64(public_key))
        key.verify(_plain_base64(signature), message)
    except (InvalidSignature, ValueError):
        return False
    return True


def _plain_base64(text: str) -> bytes:
    """The bytes of `text`, which has to be their one spelling: base64 leaves bits of the last letter free."""
    found = base64.b64decode(text, validate=True)
    if base64.b64encode(found).decode() != text:
        raise ValueError("not the plain spelling")
    return found


def public_keys() -> dict[str, str]:
    """Id and base64 public key of every key there ever was."""
    return {path.stem: path.read_text().strip() for path in sorted(folder().glob("*.pub"))}


def handovers() -> list[dict[str, Any]]:
    """For each change of key what both keys signed, so that whoever trusts the one can come to trust the other."""
    return [json.loads(path.read_text()) for path in sorted(folder().glob("*.handover"))]


def rotate(at: str) -> tuple[str, str]:
    """Makes a new key and puts it in use; the old private part is destroyed. Returns the old and the new id."""
    old, old_key = _current()
    new = _make()
    (folder() / f"{new}.handover").write_bytes(canonical(_handover(old, old_key, new, at)))
    draft = folder() / f"current.{os.getpid()}"
    draft.write_text(new)
    draft.replace(folder() / "current")
    (folder() / f"{old}.key").unlink(missing_ok=True)
    return old, new


def _handover(old: str, old_key: Ed25519PrivateKey, new: str, at: str) -> dict[str, Any]:
    """That `new` follows `old`, signed by both: the old one says who comes after it, the new one whom it follows."""
    new_key = Ed25519PrivateKey.from_private_bytes((folder() / f"{new}.key").read_bytes())
    keys = public_keys()
    said = {"format": HANDOVER, "at": at} | {
        name: {"id": key_id, "public_key": keys[key_id]} for name, key_id in (("old", old), ("new", new))
    }
    message = canonical(said)
    signed = {old: old_key.sign(message), new: new_key.sign(message)}
    return said | {"signatures": {key_id: base64.b64encode(one).decode() for key_id, one in signed.items()}}


def _current() -> tuple[str, Ed25519PrivateKey]:
    pointer = folder() / "current"
    if not pointer.exists():
        draft = folder() / f"current.{os.getpid()}"
        draft.write_text(_make())
        with contextlib.suppress(FileExistsError):  # another process was first: its key stands
            os.link(draft, pointer)
        draft.unlink()
    key_id = pointer.read_text().strip()
    return key_id, Ed25519PrivateKey.from_private_bytes((folder() / f"{key_id}.key").read_bytes())


def _make() -> str:
    key = Ed25519PrivateKey.generate()
    public = key.public_key().public_bytes_raw()
    key_id = key_id_of(public)
    handle = os.open(folder() / f"{key_id}.key", os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as out:
        out.write(key.private_bytes_raw())
    (folder() / f"{key_id}.pub").write_text(base64.b64encode(public).decode())
    return key_id
