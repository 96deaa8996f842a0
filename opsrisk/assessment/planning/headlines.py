"""One short line for each subject of a plan, on the careful end of what is known, and what is to be warned of."""

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from typing import Any

from opsrisk.assessment.planning.known import CURRENT, Known
from opsrisk.reference.units import from_si

Json = Mapping[str, Any]
Answers = Mapping[str, Json]


def headline(name: str, answers: Answers, given: Json) -> str:
    """The line of computation `name`."""
    return _LINES[name](answers, given)


def warnings(name: str, answers: Answers, known: Known) -> list[str]:
    """What somebody must be told about the answers of `name`, in words."""
    found = _WARNINGS.get(name)
    return list(found(answers, known)) if found else []


def _on(answers: Answers, name: str) -> str:
    """The number to plan on, with its unit; 'not known' where there is none."""
    one = answers.get(name)
    if one is None:
        return "not known"
    number = one.get("plan_on")
    if number is None:
        number = f"{one['low']} to {one['high']}" if "low" in one else None
    return "none" if number is None else f"{number} {one['unit']}".strip()


def _number(answers: Answers, name: str) -> float | None:
    one = answers.get(name, {})
    found = one.get("plan_on")
    return None if found is None else float(found)


def _word(answers: Answers, name: str) -> str:
    one = answers.get(name, {})
    return " or ".join(one["any_of"]) if "any_of" in one else str(one.get("value"))


def _never(answers: Answers, name: str) -> bool:
    """Whether a yes-or-no may be no."""
    one = answers.get(name, {})
    return "no" in one.get("any_of", (one.get("value"),))


def _clock(iso: str | None) -> str:
    """Hour and minute as the document's own offset has it."""
    return "-" if iso is None else datetime.fromisoformat(iso).strftime("%H:%M")


def _usable(answers: Answers) -> list[Json]:
    return [row for row in answers["windows"]["rows"] if row["usable_starts"] is not None and row["usable"] != "0"]


def _limit(given: Json) -> str:
    limit = given.get("limit", {})
    return f"{limit.get('value')} {limit.get('unit')}"


def _window(answers: Answers, given: Json) -> str:
    usable = _usable(answers)
    if not usable:
        return f"No usable window under {_limit(given)}"
    first = usable[0]
    dives = f"; {first['dives']} dive{'' if first['dives'] == '1' else 's'}" if first["dives"] is not None else ""
    span = f"{_clock(first['usable_starts'])} to {_clock(first['usable_ends'])}"
    return f"Under {_limit(given)} {span}; recall {_clock(first['recall'])}{dives}"


def _rescue(answers: Answers, _: Json) -> str:
    closes = _number(answers, "closes_in")
    if _word(answers, "answer") == "open":
        return f"Still a rescue: closes in {closes:.0f} min"
    if _word(answers, "answer") == "closed":
        return "The submersion window has closed"
    return f"Rescue window not settled: find out {_word(answers, 'settle_by')}"


def _turn(answers: Answers, _: Json) -> str:
    if _never(answers, "enough"):
        return "Not enough gas for way back, shared ascent and reserve"
    return f"Turn at {_on(answers, 'turn')}; {_on(answers, 'task')} of task"


def _no_stop(answers: Answers, _: Json) -> str:
    if answers["left"]["plan_on"] is None:
        return f"No limit in the table at {_on(answers, 'row')}"
    return f"No-stop {_on(answers, 'left')}, row {_on(answers, 'row')}"


def _holding(answers: Answers, _: Json) -> str:
    return f"Vehicle holds up to {_on(answers, 'current')}"


def _tether(answers: Answers, _: Json) -> str:
    holds = "may not hold" if _never(answers, "holds") else "holds"
    return f"Pay out {_on(answers, 'pay_out')}; vehicle {holds}, {_on(answers, 'share')} of thrust"


def _side(answers: Answers, _: Json) -> str:
    best = _word(answers, "best")
    return "The vehicle holds from none of the places" if best == "none of them" else f"Launch from: {best}"


def _sonar(answers: Answers, _: Json) -> str:
    verdict = answers["verdict"]
    said = "may show" if "any_of" in verdict else verdict["value"]
    if said == "hidden":
        rise = answers["see_in_from"]["plan_on"]
        up = f"; rise to {_on(answers, 'see_in_from')}" if rise is not None else ""
        return f"Target hidden: {_word(answers, 'why')}{up}"
    return f"Target {said}: {_word(answers, 'mode')}, tilt {_on(answers, 'tilt')} down, {_on(answers, 'range')}"


def _search(answers: Answers, _: Json) -> str:
    by_vehicle, by_divers = _on(answers, "vehicle_minutes"), _on(answers, "diver_minutes")
    return f"Vehicle {by_vehicle}, divers {by_divers} under water for {_on(answers, 'chance')}"


def _area(answers: Answers, _: Json) -> str:
    size = f"{_on(answers, 'half_length')} by {_on(answers, 'half_width')}"
    return f"Search {_on(answers, 'centre')} toward {_on(answers, 'towards')}, {size} either way"


def _bailout(answers: Answers, _: Json) -> str:
    if _never(answers, "covers_ascent"):
        return "Bailout does not cover the ascent"
    return f"Bailout lasts {_on(answers, 'at_depth')} at depth"


def _daylight(answers: Answers, _: Json) -> str:
    if answers["left"]["value"] is None:
        return "Light all night"
    return f"Light for {_on(answers, 'left')}, dusk {_clock(answers['dusk']['value'])}"


def _ice(answers: Answers, _: Json) -> str:
    return f"Ice carries {_on(answers, 'bears')} in one place"


def _opening(answers: Answers, _: Json) -> str:
    force = f"holds with {_on(answers, 'force')}; " if "force" in answers else ""
    return f"Opening {force}carries a diver from {_on(answers, 'carried')}"


def _chill(answers: Answers, _: Json) -> str:
    frost = "" if answers["frostbite"].get("value") == "no" else ": skin may freeze within 30 min"
    return f"Wind chill {_on(answers, 'chill')}{frost}"


def _heat(answers: Answers, _: Json) -> str:
    return f"Heat index {_on(answers, 'heat')}"


def _load(answers: Answers, _: Json) -> str:
    return f"Current pulls {_on(answers, 'high')} on a diver; swimming is {_word(answers, 'effort')}"


def _lift(answers: Answers, _: Json) -> str:
    return f"Lift {_on(answers, 'pull')} with {_on(answers, 'free_air')} of free air"


_LINES: dict[str, Callable[[Answers, Json], str]] = {
    "rescue_window": _rescue, "station_windows": _window, "table_windows": _window, "river_windows": _window,
    "turn_pressure": _turn, "no_stop": _no_stop, "holding_limit": _holding, "tether_shape": _tether,
    "launch_side": _side, "sonar_look": _sonar, "search_effort": _search, "search_area": _area, "bailout": _bailout,
    "daylight": _daylight, "ice": _ice, "pressure_difference": _opening, "wind_chill": _chill, "heat_index": _heat,
    "diver_load": _load, "lift": _lift,
}  # fmt: skip


def _bottom_minutes(known: Known) -> float | None:
    found = known.situation.measured("dive.bottom_time")
    return found.value if found else None


def _dive_minutes(known: Known) -> float | None:
    found = known.dive_minutes()
    return float(found["value"]) if found else None


def _window_warnings(answers: Answers, known: Known) -> Iterator[str]:
    usable = _usable(answers)
    if not usable:
        yield "No usable window in the hours looked at: nobody plans a dive in this current."
    elif usable[0]["dives"] == "0":
        yield "The planned dive does not fit into the next usable window."
    if "does not hold" in _word(answers, "said") or "later than" in _word(answers, "said"):
        yield _word(answers, "said")


def _gas_warnings(answers: Answers, known: Known) -> Iterator[str]:
    task, bottom = _number(answers, "task"), _bottom_minutes(known)
    if _never(answers, "enough"):
        yield "An immediate turn would already eat into the reserve: nobody goes on this cylinder."
    elif task is not None and bottom is not None and task < bottom:
        yield f"Gas gives {task:.0f} min of task, {bottom:.0f} min are planned."


def _no_stop_warnings(answers: Answers, known: Known) -> Iterator[str]:
    left, bottom = _number(answers, "left"), _bottom_minutes(known)
    if left is not None and bottom is not None and left < bottom:
        yield f"The no-stop time is {left:.0f} min, {bottom:.0f} min are planned: no stops are planned here."
    yield str(answers["caveat"]["value"])


def _tether_warnings(answers: Answers, known: Known) -> Iterator[str]:
    if _never(answers, "holds"):
        yield "The vehicle may be carried away at the target: its thrust does not match current and tether."
    for snag in answers["snags"]["rows"]:
        unit = answers["snags"]["columns"][1]["unit"]
        yield f"The tether passes {snag['distance']} {unit} from {snag['obstacle']}: it may snag."
    depth, deepest = known.depth_m(), answers["deepest"]
    if depth is not None and deepest.get("unit") == "m" and float(deepest["plan_on"]) > depth + 0.5:
        yield "The tether sags below the target: where the bottom is no deeper, it lies on it."


def _daylight_warnings(answers: Answers, known: Known) -> Iterator[str]:
    left, dive = _number(answers, "left"), _dive_minutes(known)
    if left is not None and dive is not None and left < dive:
        yield f"Daylight lasts {left:.0f} min, a dive takes {dive:.0f}."


def _holding_warnings(answers: Answers, known: Known) -> Iterator[str]:
    current, limit = known.facts.get(CURRENT), answers["current"]
    if current is None or current.state != "given" or limit["plan_on"] is None:
        return
    strongest = from_si(float(current.worst), "kn", 2)
    if float(strongest) > float(limit["plan_on"]):
        yield (
            f"The current may be {strongest} kn; across it, with all that tether out, the vehicle holds up to "
            f"{limit['plan_on']} kn."
        )


def _bailout_warnings(answers: Answers, _: Known) -> Iterator[str]:
    if _never(answers, "covers_ascent"):
        yield "The bailout bottle does not cover the ascent."


def _ice_warnings(answers: Answers, _: Known) -> Iterator[str]:
    yield "The thickness is taken as clear ice: white ice counts half."
    if "carries" in answers and _never(answers, "carries"):
        yield "The ice does not carry the stated load."


def _opening_warnings(_answers: Answers, _: Known) -> Iterator[str]:
    yield "No distance makes an open pressure difference approachable: isolate it and lock it out."


def _chill_warnings(answers: Answers, _: Known) -> Iterator[str]:
    if answers["frostbite"].get("value") != "no":
        yield "Bare skin may freeze within 30 minutes: rotate the surface crew."


def _lift_warnings(answers: Answers, _: Known) -> Iterator[str]:
    runaway = answers["runaway"]
    if runaway["plan_on"] is not None and float(runaway["plan_on"]) > 0:
        yield f"Once the bottom lets go, {_on(answers, 'runaway')} of lift are too much: loosen it first."


def _rescue_warnings(answers: Answers, _: Known) -> Iterator[str]:
    if _word(answers, "note") != "none":
        yield _word(answers, "note")


_WARNINGS: dict[str, Callable[[Answers, Known], Iterator[str]]] = {
    "station_windows": _window_warnings, "table_windows": _window_warnings, "river_windows": _window_warnings,
    "holding_limit": _holding_warnings, "turn_pressure": _gas_warnings, "no_stop": _no_stop_warnings,
    "tether_shape": _tether_warnings, "daylight": _daylight_warnings, "bailout": _bailout_warnings,
    "ice": _ice_warnings, "pressure_difference": _opening_warnings, "wind_chill": _chill_warnings,
    "lift": _lift_warnings, "rescue_window": _rescue_warnings,
}  # fmt: skip
