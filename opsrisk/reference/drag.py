"""Published drag of cables, vehicles and divers, and how fast divers were found to swim.

Few and scattered. The numbers for divers differ by a factor of four, so what rests on them is shown
as a range and never decides.
"""

from datetime import date

from opsrisk.reference import sources
from opsrisk.reference.value import Published

CHECKED = date(2026, 11, 25)

# Lines and vehicles

CABLE_NORMAL_DRAG = Published(
    "1.2", "", source=sources.VEHICLE_DRAG_PAGE, where="drag coefficients", checked=CHECKED, status="read",
    note="unfaired cable, on diameter times length; the low end of what is published",
)  # fmt: skip
TOWCABLE_NORMAL_DRAG = Published(
    "1.5", "", source=sources.ARMORED_TOWCABLES, where="abstract", checked=CHECKED, status="read",
    note="bare armoured towcable, fits the measurements whatever the Reynolds number; our cautious default",
)  # fmt: skip
TETHER_NORMAL_DRAG = Published(
    "2.0", "", source=sources.VEHICLE_TETHER_TRIALS, where="result", checked=CHECKED, status="read",
    note="quoted by a reader of the paper; the paper itself was not seen; the high end",
)  # fmt: skip
VEHICLE_DRAG_LOW = Published(
    "0.8", "", source=sources.VEHICLE_DRAG_PAGE, where="drag coefficients", checked=CHECKED, status="read",
    note="on the frontal area",
)  # fmt: skip
VEHICLE_DRAG_HIGH = Published(
    "1", "", source=sources.VEHICLE_DRAG_PAGE, where="drag coefficients", checked=CHECKED, status="read",
    note="on the frontal area",
)  # fmt: skip
TANGENTIAL_DRAG_LOW = Published(
    "0.005", "", source=sources.FLUID_DRAG, where="skin friction", checked=None, status="memory",
    note="on pi times diameter times length; the envelope hardly depends on it",
)  # fmt: skip
TANGENTIAL_DRAG_HIGH = Published(
    "0.02", "", source=sources.FLUID_DRAG, where="skin friction", checked=None, status="memory",
    note="on pi times diameter times length",
)  # fmt: skip


def _example(value: str, unit: str, note: str) -> Published:
    return Published(
        value, unit, source=sources.ROV_HANDBOOK, where="chapter 3, page 84", checked=CHECKED, status="read", note=note
    )


# A worked example: a vehicle and 500 ft of umbilical square to 1 knot.
EXAMPLE_DENSITY = _example("64", "lb/ft3", "weight density of sea water, divided by g in the example")
EXAMPLE_GRAVITY = _example("32.2", "ft/s2", "")
EXAMPLE_SPEED = _example("1.689", "ft/s", "1 knot")
EXAMPLE_VEHICLE_AREA = _example("10", "ft2", "")
EXAMPLE_VEHICLE_DRAG = _example("0.9", "", "")
EXAMPLE_LINE_DIAMETER = _example("0.75", "in", "")
EXAMPLE_LINE_LENGTH = _example("500", "ft", "")
EXAMPLE_LINE_DRAG = _example("1.2", "", "")
EXAMPLE_VEHICLE_FORCE = _example("25.5", "lbf", "result")
EXAMPLE_LINE_FORCE = _example("106.3", "lbf", "result")

# Divers

SWIM_EFFICIENT_TO = Published(
    "0.8", "kn", source=sources.SWIM_TRIALS, where="abstract", checked=CHECKED, status="read",
    note="above it a distinct and growing loss of efficiency, 15 subjects",
)  # fmt: skip
SWIM_LIMIT = Published(
    "1.0", "kn", source=sources.SWIM_TRIALS, where="abstract", checked=CHECKED, status="read",
    note="above it too fast except for limited periods",
)  # fmt: skip
SWIM_TOP = Published(
    "1", "m/s", source=sources.DIVER_DRAG_CHAPTER, where="abstract", checked=CHECKED, status="read",
    note="top speed with fins",
)  # fmt: skip
SCUBA_HANDICAPPED = Published(
    "1.0", "kn", source=sources.NAVY_MANUAL_2001, where="6-5.3.5.1", checked=CHECKED, status="read",
    note="above it a scuba diver is severely handicapped; an older revision",
)  # fmt: skip
HEAVY_GEAR_CURRENT = Published(
    "1.5", "kn", source=sources.NAVY_MANUAL_2001, where="6-5.3.5.1", checked=CHECKED, status="read",
    note="surface-supplied with heavy weights; an older revision",
)  # fmt: skip
EXTRA_WEIGHT_CURRENT = Published(
    "2.5", "kn", source=sources.NAVY_MANUAL_2001, where="6-5.3.5.1", checked=CHECKED, status="read",
    note="useful work with an extra weight belt; an older revision",
)  # fmt: skip
DIVER_DRAG_PER_DEGREE = Published(
    "0.013", "", source=sources.DIVER_WIND_TUNNEL, where="abstract", checked=CHECKED, status="read",
    note="added per degree head up",
)  # fmt: skip
DIVER_DRAG_AT_15_DEGREES = Published(
    "49", "", source=sources.DIVER_WIND_TUNNEL, where="abstract", checked=CHECKED, status="read",
    note="percent more than level: with 0.013 a degree this makes the level coefficient 0.40 on frontal area",
)  # fmt: skip
DIVER_LEVEL_PULL = Published(
    "9", "lbf", source=sources.DIVER_PULL_TABLE, where="row 1 kn, single tank", checked=CHECKED, status="read",
    note="streamlined, at 1 kn; rough, by its author's own word; makes a drag area of 0.30 m2 in sea water",
)  # fmt: skip
DIVER_BENT_KNEES_PULL = Published(
    "16", "lbf", source=sources.DIVER_PULL_TABLE, where="row 1 kn, single tank", checked=CHECKED, status="read",
    note="knees bent, at 1 kn; makes 0.52 m2",
)  # fmt: skip
UPRIGHT_DRAG = Published(
    "1.3", "", source=sources.UPRIGHT_PERSON_PAGE, where="formula", checked=CHECKED, status="read",
    note="coefficient of an upright person, on frontal area; in air, quoted from an encyclopedia",
)  # fmt: skip
UPRIGHT_AREA = Published(
    "0.75", "m2", source=sources.UPRIGHT_PERSON_PAGE, where="formula", checked=CHECKED, status="read",
    note="frontal area of an upright person",
)  # fmt: skip
