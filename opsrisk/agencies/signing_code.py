"""The key that a person's signing code stands for.

The tablet derives it in the browser (`signing.js`) and the server never sees the code; this is the same
derivation for the invented county, whose people sign without a tablet, and for checking the tablet's.
"""

import base64
import hashlib
import secrets

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

ITERATIONS = 600_000  # OWASP Password Storage, PBKDF2-HMAC-SHA256
SALT_BYTES = 16


def new_salt() -> str:
    return base64.b64encode(secrets.token_bytes(SALT_BYTES)).decode()


def key_from_code(code: str, salt: str, iterations: int = ITERATIONS) -> Ed25519PrivateKey:
    """PBKDF2-HMAC-SHA256 of the code gives the 32-byte seed of an Ed25519 key. Takes a third of a second on purpose."""
    seed = hashlib.pbkdf2_hmac("sha256", code.encode(), base64.b64decode(salt), iterations, dklen=32)
    return Ed25519PrivateKey.from_private_bytes(seed)


def public_key(key: Ed25519PrivateKey) -> str:
    return base64.b64encode(key.public_key().public_bytes_raw()).decode()
