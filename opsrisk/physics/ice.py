"""Whether the ice carries the team: Gold's rule with white ice at half and a deduction for rivers.

The rule is for a load at rest on sound, floating ice of even thickness. It says nothing of cracks, thaw,
current scour, a water level that fell under the ice, or a hole that the team itself has cut. Measure in
several places and give the thinnest.
"""

from dataclasses import dataclass
from math import sqrt

from opsrisk.physics.ranges import within
from opsrisk.reference import ice as published
from opsrisk.reference.units import to_si

INCH_M = to_si(1, "in")
POUND_KG = to_si(1, "lb")
GOLD_KG_PER_M2 = published.GOLD.si * POUND_KG / INCH_M**2
THICKEST_M = max(published.CAPACITY.column("thickness"))


@dataclass(frozen=True)
class Ice:
    """Ice as measured in a hole: clear and white layer in m, and whether water moves under it."""

    clear_m: float
    white_m: float = 0.0
    river: bool = False

    def __post_init__(self) -> None:
        within("clear_m", self.clear_m, 0.0, 3.0, "m")
        within("white_m", self.white_m, 0.0, 3.0, "m")


def effective_thickness_m(ice: Ice) -> float:
    """Thickness of clear ice in m that would be as good: white ice counts half.

    >>> effective_thickness_m(Ice(clear_m=0.10, white_m=0.10))
    0.15000000000000002
    """
    return ice.clear_m + published.WHITE_ICE.si * ice.white_m


def bearing_kg(ice: Ice) -> float:
    """Load in kg that `ice` carries in one place: 50 lb times inches squared (Gold), less 15 percent on a river.

    Nothing below 4 inches of effective thickness, where the published table begins; nothing more for ice
    thicker than its last row, 20 inches. The load is everything that stands within a few thicknesses.

    >>> round(bearing_kg(Ice(clear_m=0.2032)) / 0.45359237)
    3200
    """
    thickness = effective_thickness_m(ice)
    if thickness < published.LEAST_FOR_A_PERSON.si - 1e-9:
        return 0.0
    weaker = 1 - published.RIVER_ICE.si / 100 if ice.river else 1.0
    return weaker * GOLD_KG_PER_M2 * min(thickness, THICKEST_M) ** 2


def carries(ice: Ice, *, load_kg: float) -> bool:
    """Whether `ice` carries `load_kg` (0 to 20,000 kg) in one place. Raises OutOfRange."""
    return within("load_kg", load_kg, 0.0, 20_000.0, "kg") <= bearing_kg(ice)


def thickness_needed_m(*, load_kg: float, river: bool = False) -> float:
    """Clear ice in m that carries `load_kg`: never under 4 inches, and OutOfRange beyond what 20 inches carry.

    >>> round(thickness_needed_m(load_kg=3200 * 0.45359237) / 0.0254, 2)
    8.0
    """
    weaker = 1 - published.RIVER_ICE.si / 100 if river else 1.0
    within("load_kg", load_kg, 0.0, weaker * GOLD_KG_PER_M2 * THICKEST_M**2, "kg")
    return max(published.LEAST_FOR_A_PERSON.si, sqrt(load_kg / (weaker * GOLD_KG_PER_M2)))
