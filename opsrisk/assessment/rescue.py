"""Is this still a rescue? Time under water and water temperature against the protocol's windows."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from opsrisk.assessment.situation import Situation
from opsrisk.engine.inputs import INPUTS, Configuration, index_of
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Fact

RESCUE = index_of("task.gain", "rescue")
NOBODY = index_of("task.gain", "nobody_to_save")


@dataclass(frozen=True)
class SurvivalWindow:
    """The window of a rescue: when it closes as measured, and at the ends of what is known."""

    closes: datetime
    earliest: datetime
    latest: datetime


def survival_window(situation: Situation, protocol: Protocol, water: Fact) -> SurvivalWindow | None:
    """None unless somebody went under at a known time in a rescue. Warmer water closes it sooner."""
    under = situation.moment("task.submerged_at")
    if situation.choice("task.kind") != "rescue" or under is None:
        return None

    def closes(water_c: float) -> datetime:
        cold = water_c <= protocol.settings["submersion_cold_water"]
        minutes = protocol.settings["submersion_cold_minutes" if cold else "submersion_warm_minutes"]
        return under + timedelta(minutes=minutes)

    # Not knowing the water temperature cannot keep a rescue open: the shorter window holds.
    warmest, coldest = water.best, water.worst
    value = water.value if water.state == "given" else warmest
    return SurvivalWindow(closes(value), closes(warmest), closes(coldest))


def rescue_fact(situation: Situation, protocol: Protocol, water: Fact) -> dict[str, Fact]:
    """`task.gain`: somebody to save while the window is open, nobody after it or where none is known."""
    item = INPUTS["task.gain"]
    assert isinstance(item, Configuration)  # noqa: S101 - by the table of inputs
    window = survival_window(situation, protocol, water)
    if window is None:
        return {item.name: Fact(item.name, NOBODY, NOBODY, NOBODY, "given", "nobody to save")}
    now = situation.assessed_at
    value, best, worst = (RESCUE if now <= end else NOBODY for end in (window.closes, window.latest, window.earliest))
    shown = "somebody to save" if value == RESCUE else "nobody to save: the survival window has closed"
    return {item.name: Fact(item.name, value, best, worst, "given", shown)}
