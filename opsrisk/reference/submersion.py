"""How long a person under water can be brought back: the published decision guide, and who disagrees."""

from datetime import date

from opsrisk.reference.sources import DROWNING_REVIEW, SUBMERSION_DISSENT, SUBMERSION_GUIDE
from opsrisk.reference.value import Published, Table

CHECKED = date(2026, 11, 25)

COLD_WATER = Published(
    "6", "C", SUBMERSION_GUIDE, "abstract", CHECKED, "read", "at this temperature and below the longer window holds"
)
WARM_WINDOW = Published(
    "30", "min", SUBMERSION_GUIDE, "abstract", CHECKED, "read", "water above 6 C; submersion means head under"
)
COLD_WINDOW = Published("90", "min", SUBMERSION_GUIDE, "abstract", CHECKED, "read", "water at or below 6 C")

# Not a number of its own: quoted with the answer wherever the longer window is used.
DISSENT = (
    f"{SUBMERSION_DISSENT.author} ({SUBMERSION_DISSENT.year}) hold that the 90-minute arm is overly permissive. "
    "The guide is expert opinion and case review; submersion means that the head is under."
)

# Death or severe neurological harm by minutes under water. From memory: shown nowhere until somebody has read it.
OUTCOME = Table(
    columns=(("minutes from", "min"), ("minutes to", "min"), ("percent", "")),
    rows=(("0", "5", "10"), ("5", "10", "56"), ("10", "25", "88"), ("25", "90", "100")),
    source=DROWNING_REVIEW,
    where="table of outcome by duration of submersion",
    checked=None,
    status="memory",
)
