"""Published facts on pressure difference: what kinds there are, and two worked forces."""

from datetime import date

from opsrisk.reference import sources
from opsrisk.reference.value import Published

CHECKED = date(2026, 11, 25)

KINDS = (
    "water levels that differ on two sides of a boundary (dam, lock gate)",
    "a hollow structure that holds gas at another pressure than the water around it",
    "water drawn by a machine through an intake",
    "water set in motion by a propeller or thruster",
)
KINDS_SOURCE = Published(
    "4", "", source=sources.PRESSURE_HAZARD_SHEET, where="types of differential pressure hazards", checked=CHECKED,
    status="read", note="kinds; three were read in full, the fourth was cut off and is from memory",
)  # fmt: skip


def _example(value: str, unit: str, note: str) -> Published:
    return Published(value, unit, source=sources.PRESSURE_HAZARD_LECTURE, where="worked forces", checked=CHECKED,
                     status="read", note=f"{note}; quoted in a transcript")  # fmt: skip


EXAMPLE_HEAD = _example("50", "ft", "head of fresh water")
EXAMPLE_PIPE = _example("10", "in", "diameter")
EXAMPLE_FORCE = _example("1700", "lbf", "'nearly'; the formula gives 1,696")
SECOND_HEAD = _example("15", "ft", "head of fresh water")
SECOND_PIPE = _example("12", "in", "diameter")
SECOND_FORCE = _example("735", "lbf", "result")

ORIFICE_COEFFICIENT = Published(
    "0.62", "", source=sources.ORIFICE_HANDBOOK, where="sharp edge", checked=None, status="memory",
    note="flow through a sharp-edged opening over the ideal flow; we plan with 1, which reaches further",
)  # fmt: skip
