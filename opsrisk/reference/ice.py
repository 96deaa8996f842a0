"""Ice thickness and what it carries, as a state's guidelines print it after Gold."""

from datetime import date

from opsrisk.reference import sources
from opsrisk.reference.value import Published, Table

CHECKED = date(2026, 11, 25)

GOLD = Published(
    "50", "", source=sources.ICE_GUIDELINES, where="formula", checked=CHECKED, status="read",
    note="pounds per square inch of thickness squared, clear solid ice",
)  # fmt: skip
CAPACITY = Table(
    columns=(("thickness", "in"), ("load", "lb")),
    rows=(
        ("4", "800"),
        ("5", "1250"),
        ("6", "1800"),
        ("7", "2450"),
        ("8", "3200"),
        ("9", "4050"),
        ("10", "5000"),
        ("12", "7200"),
        ("15", "11250"),
        ("20", "20000"),
    ),
    source=sources.ICE_GUIDELINES,
    where="table",
    checked=CHECKED,
    status="read",
    note="clear solid ice; every row is 50 times thickness squared",
)
WHITE_ICE = Published(
    "0.5", "", source=sources.RIVER_AND_SNOW_ICE, where="white ice", checked=CHECKED, status="read",
    note="white or snow ice counts about half; read in two summaries",
)  # fmt: skip
RIVER_ICE = Published(
    "15", "", source=sources.RIVER_AND_SNOW_ICE, where="river ice", checked=CHECKED, status="read",
    note="percent weaker over moving water; read in two summaries",
)  # fmt: skip
LEAST_FOR_A_PERSON = Published(
    "4", "in", source=sources.ICE_ON_FOOT, where="guidelines", checked=CHECKED, status="read",
    note="new, clear ice for any activity on foot: stay off until then",
)  # fmt: skip
