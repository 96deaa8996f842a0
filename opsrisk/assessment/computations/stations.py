"""A current station from its document, read once: the curve of a day is kept by station, and is found again by it."""

import json
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from opsrisk.physics.station import Station


def station_of(document: Mapping[str, Any]) -> Station:
    """The station of a packed document; the same object for the same text. Raises OutOfRange, naming its field."""
    return _read(json.dumps(document, sort_keys=True, default=str))


@lru_cache(maxsize=64)
def _read(text: str) -> Station:
    return Station.from_document(json.loads(text))
