"""The conditions of a dive as a signed assessment says them, in words."""

from typing import Any

from opsrisk.assessment.words import input_label, quantity

CONDITIONS = ("visibility", "water_temperature", "current")


def shown(conditions: dict[str, Any]) -> list[tuple[str, str]]:
    """Each condition with its words: 'Visibility', '4 ft, measured'; what nobody knew is said to be not known."""
    return [(input_label(name), _words(conditions.get(name))) for name in CONDITIONS]


def _words(entry: Any) -> str:
    said = quantity(entry)
    how = entry.get("how") if isinstance(entry, dict) and said != "not known" else ""
    return f"{said}, {how}" if how else said
