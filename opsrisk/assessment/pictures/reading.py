"""What the pictures read from a number of the plan: its answers by name, its inputs in one unit."""

from collections.abc import Mapping
from typing import Any

from opsrisk.reference.units import from_si, to_si

Json = Mapping[str, Any]
LENGTH_UNITS = {"metric": "m", "us": "ft"}


def answers_of(number: Json) -> dict[str, Json]:
    return {one["name"]: one for one in number["answers"]}


def amount(given: Any, unit: str) -> float | None:
    """A given quantity in `unit`; None where nobody knows it."""
    if not isinstance(given, Mapping) or given.get("value", "unknown") == "unknown":
        return None
    return float(from_si(to_si(given["value"], given["unit"]), unit, 6))


def length_unit(number: Json) -> str:
    """Feet or metres, as the answers are."""
    return LENGTH_UNITS.get(number["given"].get("units", "metric"), "m")


def cell(row: Json, name: str) -> float:
    return float(row[name])
