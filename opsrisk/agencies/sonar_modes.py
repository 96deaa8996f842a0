"""The working modes of a vehicle's sonar as the agency writes them down: one a line, from the sonar's papers.

Kept in the form in which the sonar computation takes them, so that desk and tablet plan with the same figures.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.forms import CharField, Textarea

from opsrisk.assessment.computations.reading import part_of_inputs
from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.registry import COMPUTATIONS

Modes = list[dict[str, Any]]
COLUMNS = (
    ("name", ""),
    ("frequency", "kHz"),
    ("vertical_beam", "deg"),
    ("beam_spacing", "deg"),
    ("greatest_range", "m"),
    ("least_range", "m"),
)
HELP = (
    "One mode a line: name, frequency in kHz, height of the beam in degrees, angle between beams in degrees, greatest "
    "range in m, least range in m. Example: overview, 1200, 20, 0.3, 30, 0.5"
)


def check_modes(modes: Any) -> None:
    """Raises ValidationError naming every field that the sonar computation would refuse."""
    if modes == []:
        return
    try:
        part_of_inputs(COMPUTATIONS["sonar_look"], {"modes": modes})
    except ComputationRefused as refused:
        raise ValidationError(
            [f"{field}: given {given}; accepted: {ok}." for field, given, ok in refused.errors]
        ) from refused


def from_lines(text: str) -> Modes:
    """The modes in `text`, columns by their order; what is left empty is left out and what is too much is kept to be
    refused by name."""
    return [dict(_cells(line)) for line in text.splitlines() if line.strip()]


def _cells(line: str) -> list[tuple[str, Any]]:
    found: list[tuple[str, Any]] = []
    for place, cell in enumerate(part.strip() for part in line.split(",")):
        name, unit = COLUMNS[place] if place < len(COLUMNS) else (f"column {place + 1}", "")
        if cell:
            found.append((name, {"value": cell, "unit": unit} if unit else cell))
    return found


def as_lines(modes: Sequence[Mapping[str, Any]]) -> str:
    """`modes` as they would be typed."""
    return "\n".join(", ".join(_cell(mode.get(name)) for name, _ in COLUMNS).rstrip(", ") for mode in modes)


def _cell(given: Any) -> str:
    return str(given["value"]) if isinstance(given, Mapping) else str(given or "")


class SonarModesField(CharField):
    """Lines of modes."""

    widget = Textarea(attrs={"rows": 3})

    def prepare_value(self, value: Any) -> Any:
        return as_lines(value) if isinstance(value, list) else value

    def to_python(self, value: Any) -> Any:
        return from_lines(super().to_python(value) or "")

    def validate(self, value: Any) -> None:
        check_modes(value)
