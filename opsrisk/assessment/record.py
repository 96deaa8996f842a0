"""Canonical JSON and its digest: the bytes that are signed, sent and compared.

RFC 8785 (JSON Canonicalization Scheme) on documents whose every quantity is a decimal string, so that
no float ever enters a digest: raw floats from transcendental functions differ in the last bit between
a server's Python and a browser's.
"""

import hashlib
import json
from typing import Any

LARGEST_INTEGER = 2**53 - 1


class NotCanonical(ValueError):
    """The document holds something whose canonical form is not certain; the message names its place."""


def canonical(document: Any) -> bytes:
    """`document` as RFC 8785 bytes. Strings, booleans, None, integers up to 2**53-1, lists and objects only.

    Raises NotCanonical for floats, larger integers, keys that are no strings, and unpaired surrogates.

    >>> canonical({"b": 1, "a": "0.50"})
    b'{"a":"0.50","b":1}'
    """
    return json.dumps(_ordered(document, "document"), ensure_ascii=False, separators=(",", ":")).encode()


def digest(document: Any) -> str:
    """SHA-256 of the canonical bytes, in hexadecimal."""
    return hashlib.sha256(canonical(document)).hexdigest()


def _ordered(value: Any, place: str) -> Any:
    if isinstance(value, str):
        if not value.isascii() and any("\ud800" <= letter <= "\udfff" for letter in value):
            raise NotCanonical(f"{place}: an unpaired surrogate is no text")
        return value
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, int):
        if abs(value) > LARGEST_INTEGER:
            raise NotCanonical(f"{place}: {value} is beyond 2**53-1; write it as a decimal string")
        return value
    if isinstance(value, list | tuple):
        return [_ordered(item, f"{place}[{i}]") for i, item in enumerate(value)]
    if isinstance(value, dict):
        for key in value:
            if not isinstance(key, str):
                raise NotCanonical(f"{place}: key {key!r} is no text")
            _ordered(key, place)
        # RFC 8785 orders keys by UTF-16 code units.
        return {
            key: _ordered(value[key], f"{place}.{key}") for key in sorted(value, key=lambda k: k.encode("utf-16-be"))
        }
    raise NotCanonical(f"{place}: {value!r} is not text, whole number, yes/no, list or object")
