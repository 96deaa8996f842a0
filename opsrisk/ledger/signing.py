"""The server's own Ed25519 key: made on first run, rotated on request, old public keys kept for ever.

A folder holds `current` (the id of the key in use), `<id>.key` (its private part, mode 600) and one `<id>.pub`
for every key there ever was. The id is the beginning of the SHA-256 of the public key.
"""

import base64
import contextlib
import hashlib
import os
from dataclasses import dataclass
from pathlib import Path

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from django.conf import settings


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


def rotate() -> tuple[str, str]:
    """Makes a new key and puts it in use; the old private part is destroyed. Returns the old and the new id."""
    old, _ = _current()
    new = _make()
    draft = folder() / f"current.{os.getpid()}"
    draft.write_text(new)
    draft.replace(folder() / "current")
    (folder() / f"{old}.key").unlink(missing_ok=True)
    return old, new


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
