"""Until when the answer holds, and why it ends then."""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from typing import Any

from opsrisk.assessment.computed import expires
from opsrisk.assessment.rescue import RESCUE, survival_window
from opsrisk.assessment.situation import Situation
from opsrisk.engine.conditions import limits
from opsrisk.engine.inputs import INPUTS
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Fact


def validity(situation: Situation, protocol: Protocol, facts: Mapping[str, Fact]) -> dict[str, Any]:
    """`valid_until` and `valid_because` of the decision document: the earliest of everything that ends it."""
    until, because = min(_ends(situation, protocol, facts), key=lambda end: end[0])
    return {"valid_until": until.isoformat(timespec="seconds"), "valid_because": because}


def _ends(situation: Situation, protocol: Protocol, facts: Mapping[str, Fact]) -> Iterator[tuple[datetime, str]]:
    now = situation.assessed_at
    yield now + timedelta(minutes=protocol.recheck_minutes), f"re-check every {protocol.recheck_minutes} minutes"
    for name, rule in protocol.inputs.items():
        given = situation.measured(name)
        if given and rule.valid_minutes is not None and name in facts and facts[name].state == "given":
            yield expires(given, situation, rule.valid_minutes), f"{INPUTS[name].label}: take the reading again"
    daylight = facts["readings.daylight_left"]
    seen = situation.measured("readings.daylight_left")
    if seen and daylight.state == "given" and daylight.value > 0:
        # Minutes left when it was read, not when it is assessed.
        yield max(now, (seen.at or now) + timedelta(minutes=float(daylight.worst))), "dusk"
    window = situation.moment("site.window_ends")
    if window and window > now:
        yield window, "the current window ends"
    rescue = survival_window(situation, protocol, facts["readings.water_temperature"])
    if rescue and facts["task.gain"].value == RESCUE:
        yield rescue.closes, "the survival window closes: from then on this is a recovery"
    yield from _crew_limits(protocol, facts.get("computed.hours_awake"), now)


def _crew_limits(protocol: Protocol, awake: Fact | None, now: datetime) -> Iterator[tuple[datetime, str]]:
    """When somebody in a diving position will have been awake for longer than a rule allows."""
    if awake is None or awake.state != "given":
        return
    for rule in protocol.rules:
        for limit in limits(rule.when):
            if limit.input == awake.name and isinstance(limit.value, float) and limit.value >= awake.value:
                yield now + timedelta(minutes=limit.value - awake.value), rule.text
