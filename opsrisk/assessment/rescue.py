"""Is this still a rescue? Time under water and water temperature against the protocol's windows."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from opsrisk.assessment.situation import Situation
from opsrisk.engine.inputs import graded, index_of
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Fact, Switch, given_choice, unknown_choice

RESCUE = index_of("task.gain", "rescue")
NOBODY = index_of("task.gain", "nobody_to_save")


@dataclass(frozen=True)
class SurvivalWindow:
    """The window of a rescue: when it closes as measured, and at the ends of what is known."""

    closes: datetime
    earliest: datetime
    latest: datetime
    in_cold_water: datetime
    in_warm_water: datetime


def survival_window(situation: Situation, protocol: Protocol, water: Fact) -> SurvivalWindow | None:
    """None unless somebody went under at a known time in a rescue. Warmer water closes it sooner."""
    under = situation.moment("task.submerged_at")
    if situation.choice("task.kind") != "rescue" or under is None:
        return None

    settings = protocol.settings
    cold, warm = (under + timedelta(minutes=settings[f"submersion_{kind}_minutes"]) for kind in ("cold", "warm"))

    def closes(water_c: float) -> datetime:
        return cold if water_c <= settings["submersion_cold_water"] else warm

    # Not knowing the water temperature cannot keep a rescue open: the shorter window holds.
    warmest, coldest = water.best, water.worst
    value = water.value if water.state == "given" else warmest
    return SurvivalWindow(closes(value), closes(warmest), closes(coldest), cold, warm)


def rescue_fact(situation: Situation, protocol: Protocol, water: Fact) -> dict[str, Fact]:
    """`task.gain`: somebody to save while the window is open, nobody after it or where none is known."""
    item = graded("task.gain")
    if _may_be_a_rescue(situation):
        return {item.name: unknown_choice(item)}
    window = survival_window(situation, protocol, water)
    if window is None:
        return {item.name: given_choice(item, item.values[NOBODY], "nobody to save")}
    now = situation.assessed_at
    value, best, worst = (RESCUE if now <= end else NOBODY for end in (window.closes, window.latest, window.earliest))
    shown = "somebody to save" if value == RESCUE else "nobody to save: the survival window has closed"
    in_cold, in_warm = (RESCUE if now <= end else NOBODY for end in (window.in_cold_water, window.in_warm_water))
    switch = (
        Switch(water.name, protocol.settings["submersion_cold_water"], in_cold, in_warm)
        if water.state == "given"
        else None
    )
    return {item.name: Fact(item.name, value, best, worst, "given", shown, of=(water.name,), switch=switch)}


def _may_be_a_rescue(situation: Situation) -> bool:
    """Nobody says whether it is one, or since when: then both must be considered, a rescue and none."""
    if situation.choice("task.kind") is None:
        return situation.at("task.submerged_at") is not None
    return situation.choice("task.kind") == "rescue" and situation.at("task.submerged_at") == "unknown"
