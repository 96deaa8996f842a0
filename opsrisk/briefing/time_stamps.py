"""A time-stamp authority (RFC 3161) over HTTP: it sees a digest of the seal and says when, under its certificate."""

from __future__ import annotations

import asyncio
import urllib.error
import urllib.request
from urllib.parse import urlsplit

from asn1crypto import tsp
from pyhanko.sign.timestamps import TimestampRequestError
from pyhanko.sign.timestamps.api import TimeStamper

ASKED, ANSWERED = "application/timestamp-query", "application/timestamp-reply"
PATIENCE_S = 5
LARGEST = 64 * 1024


class NotStamped(RuntimeError):
    """The authority did not answer, or not with a stamp."""


class Authority(TimeStamper):  # type: ignore[misc]  # the sealing library asks for this class; it has no types
    def __init__(self, address: str) -> None:
        if urlsplit(address).scheme not in {"http", "https"}:
            raise NotStamped(f"OPSRISK_TIME_STAMPS: given {address!r}, accepted an address that begins with http")
        super().__init__()
        self._address = address

    async def async_request_tsa_response(self, req: tsp.TimeStampReq) -> tsp.TimeStampResp:
        return await asyncio.to_thread(self._ask, req.dump())

    async def async_timestamp(self, message_digest: bytes, md_algorithm: str) -> object:
        """The stamp. Raises NotStamped for whatever the authority did instead of giving one."""
        try:
            return await super().async_timestamp(message_digest, md_algorithm)
        except TimestampRequestError as fault:
            raise NotStamped(f"{self._address}: refused the request: {fault}") from fault
        except (ValueError, TypeError, KeyError) as fault:
            raise NotStamped(f"{self._address}: answered what is no time stamp") from fault

    def _ask(self, body: bytes) -> tsp.TimeStampResp:
        request = urllib.request.Request(self._address, data=body, headers={"Content-Type": ASKED})  # noqa: S310 - see above
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE_S) as answer:  # noqa: S310 - scheme was checked above
                if answer.headers.get_content_type() != ANSWERED:
                    raise NotStamped(f"{self._address}: answered {answer.headers.get_content_type()}, not {ANSWERED}")
                return tsp.TimeStampResp.load(answer.read(LARGEST))
        except (OSError, urllib.error.URLError) as fault:
            raise NotStamped(f"{self._address}: does not answer: {fault}") from fault
