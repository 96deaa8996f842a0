"""Densities of what is lifted, and published lifting examples."""

from datetime import date

from opsrisk.reference import sources
from opsrisk.reference.value import Published, Source

CHECKED = date(2026, 11, 25)


def _density(value: str, source: Source, note: str = "") -> Published:
    return Published(value, "kg/m3", source=source, where="table", checked=CHECKED, status="read", note=note)


# Solid material without air: what is hollow or holds air needs its own displacement. Where the table prints a
# range we take its heavy end: the same mass then displaces least and weighs most in water.
DENSITIES = {
    "steel": _density("7850", sources.METAL_DENSITIES, "rolled"),
    "cast iron": _density("7800", sources.METAL_DENSITIES, "6800 to 7800"),
    "brass": _density("8700", sources.METAL_DENSITIES, "8400 to 8700, casting"),
    "lead": _density("11340", sources.METAL_DENSITIES),
    "aluminium": _density("2700", sources.MATERIAL_DENSITIES),
    "stone": _density("2700", sources.MATERIAL_DENSITIES, "granite, 2600 to 2700"),
    "concrete": _density("2300", sources.BUILDING_DENSITIES),
}


def _example(value: str, unit: str, note: str) -> Published:
    return Published(
        value, unit, source=sources.LIFT_EXAMPLE, where="how big a bag", checked=CHECKED, status="read", note=note
    )


EXAMPLE_MASS = _example("50", "kg", "an outboard motor")
EXAMPLE_DISPLACED = _example("20", "L", "sea water that it displaces")
EXAMPLE_WATER = _example("1030", "kg/m3", "printed as 1.03 kg a litre")
EXAMPLE_WEIGHT = _example("29.4", "kg", "left to lift; prints the working 50 - 20.6")
EXAMPLE_AIR = _example("28.5", "L", "air that lifts it")
RULE_OF_THUMB = Published(
    "1", "kg", source=sources.LIFT_ARTICLE, where="physics of buoyant lifting", checked=CHECKED, status="read",
    note="lifted by each litre of air",
)  # fmt: skip
