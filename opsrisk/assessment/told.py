"""What each person on a sheet has to say back: own task, limit and abort signal, from the signed record alone.

`choices` holds other answers that sound likely. Who hears the read-back taps what was said, not that it was right: a
slip is seen because the wrong one stands there too. Common practice of closed-loop briefing; the wording is our own.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation
from typing import Any

from opsrisk.assessment.words import POSITION_NAMES, TASKS, Clock, choice_word, decision_word, one_line, quantity

Json = Mapping[str, Any]
ITEMS = ("task", "limit", "abort")
ITEM_WORDS = {"task": "Own task", "limit": "Own limit", "abort": "Abort signal"}
DIVING = ("supervisor", "diver", "diver_tender", "standby_diver", "standby_tender")
FLYING = ("supervisor", "vehicle_pilot", "tether_handler")
IN_THE_WATER = ("diver", "standby_diver")
AT_THE_LINE = (*IN_THE_WATER, "diver_tender", "standby_tender")
DUTIES = {
    "supervisor": "runs the dive and stays out of the water",
    "diver": "goes in first and does the task",
    "diver_tender": "holds the diver's line and nothing else",
    "standby_diver": "stays dressed and checked, goes in on the supervisor's word only",
    "standby_tender": "holds the standby diver's line and nothing else",
    "vehicle_pilot": "flies the vehicle",
    "tether_handler": "pays out and takes in the tether",
    "medic": "has oxygen and first aid at hand and no other work",
    "": "has no position and stays out of the water",
}
GAINS = (  # what the tablet offers; anything else is in somebody's own words
    "A life that may still be saved",
    "Somebody brought home to the family",
    "Evidence that would be lost",
    "Property",
    "Practice",
)
DRY = "stays out of the water"
MOST_CHOICES = 4
STEP_MIN = 5


def enters(record: Json) -> bool:
    """Whether the decision in force lets a person into the water, at once or after the vehicle."""
    return chosen(record) not in ("vehicle_only", "hold")


def chosen(record: Json) -> str:
    return str((record.get("chosen") or {}).get("decision") or record["decision"]["decision"])


def positions(record: Json) -> dict[str, Json]:
    """Positions that somebody fills, in the order of the questions."""
    given = record["situation"].get("positions")
    given = given if isinstance(given, Mapping) else {}
    found = {name: given.get(name) for name in POSITION_NAMES}
    return {
        name: entry
        for name, entry in found.items()
        if isinstance(entry, Mapping) and (entry.get("person") or entry.get("filled") == "yes")
    }


def task(record: Json, position: str) -> str:
    """What this position does, in words: 'Diver: goes in first and does the task: line search along the ledge'."""
    duty = DUTIES.get(position, DUTIES[""])
    if position in IN_THE_WATER and not enters(record):
        duty = DRY
    elif position == "diver":
        duty += f": {_task_words(record)}"
    name = POSITION_NAMES.get(position, "No position")
    return f"{name}: {duty}"


def limit(record: Json, position: str, *, later_min: int = 0) -> str:
    """When this position is over: bottom time and turn pressure for who dives, and the end of the decision for all."""
    until = _until(record, later_min)
    if position not in IN_THE_WATER or not enters(record):
        return f"Until {until}"
    return "; ".join(part for part in (_bottom_time(record, later_min), turn(record), f"out by {until}") if part)


def turn(record: Json) -> str:
    """The turn pressure of the signed plan, as it was printed; empty without one."""
    numbers = ((record.get("plan") or {}).get("answer") or {}).get("numbers") or ()
    found = [str(one.get("headline", "")) for one in numbers if one.get("computation") == "turn_pressure"]
    return one_line(found[0].partition(";")[0]).lower() if found else ""


def abort(record: Json) -> str:
    """The recall signal as briefed; empty where nobody wrote it down."""
    return one_line((record.get("brief") or {}).get("recall"))


def told(record: Json, held: tuple[str, ...]) -> dict[str, str]:
    """The three things that who holds these positions has to say back."""
    places = held or ("",)
    return {
        "task": " / ".join(task(record, each) for each in places),
        "limit": limit(record, _wettest(places)),
        "abort": abort(record),
    }


def choices(record: Json, held: tuple[str, ...]) -> dict[str, list[str]]:
    """For each item what might be said, in an order that does not give the right one away."""
    right = told(record, held)
    others = [told(record, (name,))["task"] for name in positions(record) if name not in held]
    spare = [task(record, name) for name in DUTIES if name and name not in held]
    limits = [limit(record, _wettest(held or ("",)), later_min=by) for by in (-STEP_MIN, STEP_MIN, 3 * STEP_MIN)]
    brief = record.get("brief") or {}
    signals = [one_line(brief.get(name)) for name in ("signals", "radio")]
    return {
        "task": mixed(right["task"], others or spare),
        "limit": mixed(right["limit"], limits),
        "abort": mixed(right["abort"], signals),
    }


def controls(record: Json) -> str:
    """What has to be in place before people go in, as the signed decision says it."""
    return "; ".join(one_line(one.get("text")) for one in record["decision"].get("controls") or ()) or "none"


def facts(record: Json, held: tuple[str, ...], names: Mapping[str, str]) -> dict[str, str]:
    """What this person was briefed on, by name: where one of these changes, the loop is open again."""
    brief = record.get("brief") or {}
    filled = positions(record)
    found = {
        "decision": decision_word(chosen(record)),
        "position": ", ".join(POSITION_NAMES[name] for name in held) or "none",
        "task": " / ".join(task(record, each) for each in held or ("",)),
        "recall signal": one_line(brief.get("recall")) or "not written down",
        "other signals": one_line(brief.get("signals")) or "none",
        "radio": one_line(brief.get("radio")) or "none",
    }
    if set(held) & set(IN_THE_WATER):
        found["bottom time"] = quantity(record["situation"].get("dive", {}).get("bottom_time"))
        found["turn pressure"] = turn(record) or "none"
    if set(held) & set(AT_THE_LINE) and enters(record):
        found["controls"] = controls(record)
    for name in _crew_of(held):
        if name in filled and name not in held:
            entry = filled[name]
            who = str(entry.get("person") or "")
            found[POSITION_NAMES[name].lower()] = names.get(who) or who or "filled, no name"
    return found


def until(record: Json) -> datetime | None:
    """When the decision ends, if the record says so in a way that can be read."""
    try:
        found = datetime.fromisoformat(str(record["decision"].get("valid_until")))
    except ValueError:
        return None
    return found if found.tzinfo else None


def _crew_of(held: tuple[str, ...]) -> tuple[str, ...]:
    """The positions that these positions depend on."""
    crew = [name for team in (DIVING, FLYING) if set(held) & set(team) for name in team]
    return tuple(dict.fromkeys(crew or ("supervisor",)))


def _wettest(places: tuple[str, ...]) -> str:
    return next((name for name in IN_THE_WATER if name in places), places[0])


def _task_words(record: Json) -> str:
    given = record["situation"].get("task") or {}
    written = one_line((record.get("brief") or {}).get("task"))
    kind = str(given.get("kind", "")) if isinstance(given, Mapping) else ""
    return written or TASKS.get(kind, choice_word("task.kind", kind)).lower()


def _bottom_time(record: Json, later_min: int) -> str:
    dive = record["situation"].get("dive")
    given = dive.get("bottom_time") if isinstance(dive, Mapping) else None
    words = quantity(given)
    if words == "not known" or not isinstance(given, Mapping):
        return ""
    try:
        value = Decimal(str(given["value"]))
    except InvalidOperation:
        return words
    changed = value + later_min if value + later_min > 0 else value * 2
    return f"{quantity({**given, 'value': str(changed)})} on the bottom"


def _until(record: Json, later_min: int) -> str:
    end = until(record)
    if end is None:
        return "the supervisor calls"
    clock = Clock.of(record["situation"].get("assessed_at") or record.get("made_at"))
    return clock.short((end + timedelta(minutes=later_min)).isoformat())


def mixed(right: str, others: list[str]) -> list[str]:
    """The right one among at most three others, sorted, so that its place says nothing."""
    if not right:
        return []
    kept = [one for one in dict.fromkeys(others) if one and one != right][: MOST_CHOICES - 1]
    return sorted([right, *kept])
