"""Whether a protocol lets the no-stop tables be used: who answers for them, since when, and up to which altitude."""

from collections.abc import Mapping
from typing import Any

from opsrisk.protocols.words import source_words


def adoption_words(document: Mapping[str, Any]) -> dict[str, str]:
    """What stands in a protocol document, each as a label and its text; empty where nobody adopted the tables."""
    entry = document.get("no_stop_adoption")
    if entry is None:
        return {}
    altitude = entry["altitude"]
    words = {
        "Compared with a print by": entry["person"],
        "On": entry["on"],
        "Highest of the agency's waters": f"{altitude['value']} {altitude['unit']}",
        "Digest of the tables": entry["digest"],
        "Source": source_words(entry["source"]),
    }
    return words | ({"Note": entry["note"]} if entry.get("note") else {})
