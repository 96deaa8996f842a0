"""Is this file a photo and nothing else, and what of it may be shown?

The shown copy is decoded and encoded anew, so that nothing but the picture is in it: no place, no serial number, no
second file hidden behind it. The original is kept as it came, because place and time in it can be evidence.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

from PIL import Image, ImageFile, ImageOps

from opsrisk.agencies.refusals import Refused

STARTS = {"JPEG": b"\xff\xd8\xff", "PNG": b"\x89PNG\r\n\x1a\n", "WEBP": b"RIFF"}
MOST_PIXELS = 60_000_000  # the largest telephone cameras have about 50 million
LONGEST_SIDE = 16_000
SHOWN_SIDE, QUALITY = 1600, 85
ACCEPTED = "a JPEG, PNG or WebP photo"
# Marks of other kinds of file, long enough that they do not turn up by chance in a photo's bytes.
FOREIGN = {b"<script": "a script", b"<!doctype html": "a web page", b"<html ": "a web page", b"<html>": "a web page",
           b"<?php ": "a program", b"rar!\x1a\x07": "an archive", b"7z\xbc\xaf\x27\x1c": "an archive"}  # fmt: skip
PDF_WITHIN = 1024  # readers of PDF look for its first mark so far into a file
TOO_LARGE = f"at most {MOST_PIXELS // 10**6} million pixels and {LONGEST_SIDE} a side"
_decoding = Lock()


def shown_copy(data: bytes) -> bytes:
    """A JPEG of at most 1600 px a side, of the picture in `data` alone. Raises Refused in words."""
    kind = _kind(data)
    _check_alone(data)
    try:
        with _whole_only():
            return _decoded(data, kind)
    except Refused:
        raise
    except Image.DecompressionBombError as fault:
        raise Refused(("photo", f"{fault}", TOO_LARGE)) from fault
    # A file made to break a decoder may raise almost anything there.
    except Exception as fault:
        raise Refused(("photo", f"a {kind} that cannot be read: {fault}", f"{ACCEPTED} that is whole")) from fault


@contextmanager
def _whole_only() -> Iterator[None]:
    """The program that renders sheets lets half a picture pass, for the whole process; a photo has to be whole."""
    with _decoding:
        before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, False
        try:
            yield
        finally:
            ImageFile.LOAD_TRUNCATED_IMAGES = before


def _kind(data: bytes) -> str:
    for kind, start in STARTS.items():
        if data.startswith(start) and (kind != "WEBP" or data[8:12] == b"WEBP"):
            return kind
    raise Refused(("photo", f"a file that begins with {data[:12]!r}", ACCEPTED))


def _check_alone(data: bytes) -> None:
    lower = data.lower()
    found = next((words for mark, words in FOREIGN.items() if mark in lower), "")
    if b"%PDF-" in data[:PDF_WITHIN]:
        found = "a PDF"
    elif not found and zipfile.is_zipfile(io.BytesIO(data)):
        found = "an archive"
    if found:
        raise Refused(("photo", f"a photo with {found} in it", f"{ACCEPTED} and nothing else"))


def _decoded(data: bytes, kind: str) -> bytes:
    with Image.open(io.BytesIO(data), formats=[kind]) as image:
        wide, high = image.size
        if wide * high > MOST_PIXELS or max(wide, high) > LONGEST_SIDE:  # from the header: nothing is decoded yet
            raise Refused(("photo", f"{wide} x {high} pixels", TOO_LARGE))
        image.draft("RGB", (SHOWN_SIDE, SHOWN_SIDE))
        image.load()
        upright = ImageOps.exif_transpose(image)
    upright.thumbnail((SHOWN_SIDE, SHOWN_SIDE))
    plain = Image.new("RGB", upright.size, "white")
    clear = upright.convert("RGBA")
    plain.paste(clear, mask=clear.getchannel("A"))
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()
