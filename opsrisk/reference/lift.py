"""Densities of what is lifted, and published lifting examples."""

from datetime import date

from opsrisk.reference import sources
from opsrisk.reference.value import Published

CHECKED = date(2026, 11, 25)


def _density(value: str, note: str = "") -> Published:
    return Published(
        value, "kg/m3", source=sources.DENSITY_HANDBOOK, where="density", checked=None, status="memory", note=note
    )


# Solid material without air: what is hollow or holds air needs its own displacement.
DENSITIES = {
    "steel": _density("7850"),
    "cast iron": _density("7200"),
    "aluminium": _density("2700"),
    "brass": _density("8500"),
    "lead": _density("11340"),
    "concrete": _density("2400"),
    "stone": _density("2650", "granite"),
    "glass": _density("2500"),
    "rubber": _density("1150", "tyres, without the air in them"),
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
