"""How good a measurement has to be for the reading that settles an answer: in words, from the decision document.

The margins of that reading say where the answer changes, all else as it was taken. A measurement whose whole range
lies between them can change nothing, however exact it is; one that reaches past them cannot settle anything.
"""

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from opsrisk.engine.inputs import INPUTS, Quantity


def good_enough(decision: Mapping[str, Any]) -> str:
    """'surely between 0.5 and 1.5 kn'; '' for what is not measured in a unit, or was not taken at all yet."""
    name = decision.get("settle_by")
    margin = next((one for one in decision.get("margins") or () if one.get("input") == name), None)
    item = INPUTS.get(str(name))
    if margin is None or not isinstance(item, Quantity) or _number(str(margin.get("now")).split(" ")[0]) is None:
        return ""
    worse, better = (_number(margin.get(way, {}).get("value")) for way in ("worse", "better"))
    low, high = (better, worse) if item.worse == "higher" else (worse, better)
    if low and high:
        said = f"between {low} and {high}"
    elif low or high:
        said = f"over {low}" if low else f"under {high}"
    else:
        return ""
    return f"surely {said} {margin.get('unit', '')}".strip()


def _number(text: Any) -> str | None:
    """The text itself where it is a decimal number."""
    try:
        return text if isinstance(text, str) and Decimal(text).is_finite() else None
    except InvalidOperation:
        return None
