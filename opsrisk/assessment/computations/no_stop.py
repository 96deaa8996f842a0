"""Longest bottom time without stops: off until the agency has adopted the tables, refused beyond them."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from opsrisk.assessment.computations.answering import quantity, word
from opsrisk.assessment.computations.asking import NAME, amount, known, pick
from opsrisk.assessment.computations.entry import DEPTH, LENGTH, MINUTES, Asked, Computation, Rows, Values
from opsrisk.assessment.fields import Group, Text
from opsrisk.physics.no_stop import Adoption, PastDive, no_stop, wait_before_ascent_min
from opsrisk.physics.ranges import OutOfRange
from opsrisk.reference import sources
from opsrisk.reference.no_stop import GROUPS
from opsrisk.reference.units import to_si

Answers = dict[str, Any]
FOOT_M = to_si(1, "ft")
GUARD_FT = 1e-6  # a depth of 60 ft given in feet must not become 60.00000001 and the next row


def adoption_of(given: Mapping[str, Any] | None) -> Adoption | None:
    """Who compared the tables with a printed copy. Raises OutOfRange for a day that is none."""
    if not given:
        return None
    try:
        on = date.fromisoformat(given["on"] or "")
    except ValueError:
        raise OutOfRange("adoption", given["on"], "a day as in 2026-11-25") from None
    return Adoption(given["person"] or "", on, given["digest"] or "")


def _feet(depth_m: float) -> float:
    return max(0.0, depth_m / FOOT_M - GUARD_FT)


def _longest(given: Values) -> Answers:
    previous = [PastDive(_feet(row["depth"]), row["bottom_time"], row["interval"]) for row in given["earlier"] or []]
    found = no_stop(
        depth_fsw=_feet(given["depth"]), previous=previous, altitude_ft=_feet(given["altitude"]),
        at_altitude_min=given["at_altitude"], adoption=adoption_of(given["adoption"]),
    )  # fmt: skip
    return {
        "left": None if found.left_min is None else float(found.left_min),
        "limit": None if found.limit_min is None else float(found.limit_min),
        "said": "the table sets no limit at this depth" if found.left_min is None else "limit less residual time",
        "residual": float(found.residual_min), "row": found.depth_row_fsw * FOOT_M,
        "group": found.group_before or "none", "caveat": found.caveat,
    }  # fmt: skip


def _wait(given: Values) -> Answers:
    minutes = wait_before_ascent_min(
        group=given["group"], altitude_ft=_feet(given["altitude"]), adoption=adoption_of(given["adoption"])
    )
    return {"wait": float(minutes)}


ADOPTION = Asked(
    "adoption",
    Group({"person": NAME, "on": Text(10), "digest": Text(64)}, required=("person", "on", "digest")),
    "Who of the agency compared these tables with its printed manual, on which day, and their digest",
    optional=True,
)
PAST = Group(
    {"depth": known(DEPTH, 0.0, 100.0), "bottom_time": known(MINUTES, 0.0, 2880.0),
     "interval": known(MINUTES, 0.0, 44640.0)}, required=("depth", "bottom_time", "interval"),
)  # fmt: skip
ARGUMENTS = {
    "depth_fsw": "depth", "bottom_min": "earlier", "interval_min": "earlier", "altitude_ft": "altitude",
    "at_altitude_min": "at_altitude", "group": "group", "adoption": "adoption",
}  # fmt: skip

ENTRIES = (
    Computation(
        name="no_stop",
        title="No-stop time",
        question="What is the longest bottom time without stops today, for this diver, after the earlier dives?",
        method="Looked up in the published air tables, depth and time rounded up; nothing is extrapolated.",
        limits="Air, to 190 fsw and 10,000 ft; refused beyond the table and until adopted. It plans no stops.",
        page="no_stop",
        sources=(sources.NO_STOP_TABLES,),
        asks=(
            amount("depth", DEPTH, 0.0, 100.0, "Greatest depth of the dive"),
            Asked("earlier", Rows(PAST, least=0, most=12),
                  "Earlier dives, first to last, each with the interval after it",
                  optional=True),
            amount("altitude", LENGTH, 0.0, 5000.0, "Altitude of the site", setting="0", why="sea level"),
            amount("at_altitude", MINUTES, 0.0, 44640.0, "How long the diver has been at altitude, if under 12 hours",
                   optional=True),
            ADOPTION,
        ),
        answers=(
            quantity("left", "Longest bottom time today", "min", 0, toward="down"),
            quantity("limit", "Limit of the row", "min", 0, toward="down"),
            quantity("residual", "Taken off by earlier dives", "min", 0, toward="up"),
            quantity("row", "Row used", "msw", 1, ("fsw", 0), toward="up"),
            word("group", "Repetitive group before the dive"),
            word("said", "How"),
            word("caveat", "Caveat"),
        ),
        call=_longest,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="wait_before_ascent",
        title="Wait before going up",
        question="How long to wait after diving before driving over a pass or flying?",
        method="Looked up in the published table by repetitive group and altitude, rounded up.",
        limits="To 10,000 ft; refused while nobody has adopted the tables.",
        page="no_stop",
        sources=(sources.NO_STOP_TABLES,),
        asks=(
            pick("group", tuple(GROUPS), "Repetitive group after the last dive"),
            amount("altitude", LENGTH, 0.0, 3048.0, "Altitude to go up to"),
            ADOPTION,
        ),
        answers=(quantity("wait", "Wait", "min", 0, toward="up"),),
        call=_wait,
        arguments=ARGUMENTS,
    ),
)  # fmt: skip
