"""How long others say that records of diving are to be kept, in whole years.

A year of a rule is a year of the calendar, which is no fixed number of minutes: the unit stays empty.
29 CFR 1910 Subpart T does not bind public-safety dives of a governmental agency; the Maine rule binds in Maine.
"""

from datetime import date

from opsrisk.reference.sources import COMMERCIAL_DIVING_RULE, PUBLIC_SAFETY_DIVING_RULE
from opsrisk.reference.value import Published

CHECKED = date(2026, 11, 25)
QUOTED = "as quoted by others"


def _osha(years: str, what: str) -> Published:
    where, note = "1910.440(b)(3)", f"years; {what}, {QUOTED}"
    return Published(years, "", COMMERCIAL_DIVING_RULE, where, CHECKED, "read", note)


DIVE = _osha("1", "recording of a dive")
PHYSICIAN = _osha("5", "physician's reports")
DIVE_WITH_SICKNESS = Published(
    "5", "", COMMERCIAL_DIVING_RULE, "1910.440(b)(3)", None, "memory", "years; recording of a dive with an incident"
)
# Whoever is active: everything. Others: this long beyond the last activity that had to do with diving.
AFTER_LEAVING = Published(
    "5", "", PUBLIC_SAFETY_DIVING_RULE, "recordkeeping", CHECKED, "read", f"years after the last activity, {QUOTED}"
)
