"""The catalogue of deliberately broken protocols: each a few edits of the baseline, and what must be found in it."""

import json
from typing import Any

from opsrisk.protocols.edits import edited
from opsrisk.protocols.shipped import BASELINE

CATALOGUE = BASELINE.parent / "broken"


def entries() -> list[dict[str, Any]]:
    """Every entry: its name, why it is perverse, the edits, and for each property that fails some of its subjects."""
    return [json.loads(path.read_text()) | {"file": path.stem} for path in sorted(CATALOGUE.glob("*.json"))]


def text(entry: dict[str, Any]) -> str:
    return json.dumps(edited(json.loads(BASELINE.read_text()), entry["edits"]))
