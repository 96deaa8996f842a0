"""What a plan looks at, in the order in which it matters, and what each subject takes from the situation.

A subject is one computation. Its inputs come from the situation and the protocol here; what the plan's own inputs say
for it wins. It is looked at where it applies, or where the plan's inputs name it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil

from opsrisk.assessment.planning.known import CURRENT, Json, Known, ascent_minutes
from opsrisk.reference.units import from_si

SITUATION, PROTOCOL, DEPTH_RULE = "situation", "protocol", "situation, by depth"
Filled = dict[str, tuple[Json | str | None, str]]
STILL_MPS = 0.1  # water that hardly moves needs no window
SLOW_TO_RISE_MIN = 3  # beyond the ascent itself: to see the signal, free the diver, leave the bottom


@dataclass(frozen=True)
class Subject:
    """One computation of the plan: whether it applies to a situation, and what it takes from it.

    `instead` names a field that the plan's own inputs may give in the place of one that is taken from the situation.
    """

    name: str
    applies: Callable[[Known], bool]
    fill: Callable[[Known], Filled]
    picture: str = ""
    instead: tuple[tuple[str, str], ...] = ()


def _always(_: Known) -> bool:
    return True


def _if_asked(_: Known) -> bool:
    return False


def only_if_asked(subject: Subject) -> bool:
    """Whether a plan looks at it only where its inputs name it."""
    return subject.applies is _if_asked


def _has_vehicle(known: Known) -> bool:
    return known.situation.has_vehicle is True


def _vehicle(known: Known) -> Filled:
    parts = {name: known.quantity(f"vehicle.{name}") for name in ("thrust", "drag_area", "tether_diameter")}
    filled: Filled = {name: (given, SITUATION) for name, given in parts.items()}
    return filled | {
        "depth": (known.reading("readings.depth"), SITUATION),
        "water": (known.choice("site.water"), SITUATION),
        "normal_drag": (known.setting("tether_normal_drag", "")["value"], PROTOCOL),
    }


def _holding(known: Known) -> Filled:
    out = known.quantity("vehicle.tether_out") or known.quantity("vehicle.tether_length")
    slack = known.setting("tether_slack", "")["value"]
    return _vehicle(known) | {"tether_out": (out, SITUATION), "slack": (slack, PROTOCOL)}


def _tether(known: Known) -> Filled:
    return _vehicle(known) | {"current": (known.reading(CURRENT), SITUATION)}


def _side(known: Known) -> Filled:
    """Places are ranked at one depth and one current: the strongest and deepest of what is known."""
    filled = _tether(known)
    for name in ("depth", "current"):
        given, origin = filled[name]
        if isinstance(given, dict) and "high" in given:
            filled[name] = {"value": given["high"], "unit": given["unit"]}, origin
    return filled


def _moving(known: Known) -> bool:
    """Water that moves, or may: a forecast of slack is worth having."""
    fact = known.facts.get(CURRENT)
    return fact is None or fact.state != "given" or float(fact.worst) > STILL_MPS


def _window(known: Known) -> Filled:
    reading = known.situation.measured(CURRENT)
    fresh = known.reading(CURRENT)  # None where it is too old: then nothing on scene contradicts the forecast
    on_scene = reading is not None and fresh is not None and reading.how in ("measured", "estimated")
    start = (reading.at if on_scene and reading else None) or known.situation.assessed_at
    recheck = {"value": str(max(5, known.protocol.recheck_minutes)), "unit": "min"}
    filled = _planned(known) | {"recheck_every": (recheck, PROTOCOL), "start": (start.isoformat(), SITUATION)}
    if on_scene and reading and reading.value <= 8.0:
        filled["measured"] = (fresh, SITUATION)
    return filled


def _planned(known: Known) -> Filled:
    depth = known.depth_m()
    filled: Filled = {
        "limit": (known.current_limit(), PROTOCOL),
        "dive_time": (known.dive_minutes(), DEPTH_RULE),
    }
    if depth is not None and depth <= 100:
        minutes = max(5, ceil(ascent_minutes(depth)) + SLOW_TO_RISE_MIN)
        filled["way_up"] = ({"value": str(minutes), "unit": "min"}, DEPTH_RULE)
    return filled


def _table(known: Known) -> Filled:
    return _planned(known) | {"start": (known.situation.assessed_at.isoformat(), SITUATION)}


def _river(known: Known) -> Filled:
    reading = known.situation.measured(CURRENT)
    at = (reading.at if reading else None) or known.situation.assessed_at
    measured = known.reading(CURRENT)
    return _planned(known) | {"measured": (measured, SITUATION), "measured_at": (at.isoformat(), SITUATION)}


def _daylight(known: Known) -> Filled:
    place: Filled = {name: (known.number(f"site.{name}"), SITUATION) for name in ("latitude", "longitude")}
    return place | {"at": (known.situation.assessed_at.isoformat(), SITUATION)}


def _sonar(known: Known) -> Filled:
    return {
        "temperature": (_within(known.reading("readings.water_temperature"), 0.0, 35.0), SITUATION),
        "water": (known.choice("site.water"), SITUATION),
    }


def _within(given: Json | None, low: float, high: float) -> Json | None:
    """A temperature in C as it is, or None where it lies outside what the computation was checked for."""
    if given is None or given["unit"] != "C":
        return given
    ends = [float(given[end]) for end in ("low", "value", "high") if end in given]
    return given if low <= min(ends) and max(ends) <= high else {"value": given["value"], "unit": given["unit"]}


def _has_sonar(known: Known) -> bool:
    return _has_vehicle(known) and known.choice("vehicle.imaging_sonar") != "no"


def _search(known: Known) -> Filled:
    return {
        "tether": (known.quantity("vehicle.tether_length"), SITUATION),
        "bottom_time": (known.quantity("dive.bottom_time"), SITUATION),
    }


def _to_be_found(known: Known) -> bool:
    return _has_vehicle(known) and known.choice("task.target") in (None, "none_located", "contact")


def _drift(known: Known) -> Filled:
    return {
        "current": (known.reading(CURRENT), SITUATION),
        "depth": (known.reading("readings.depth"), SITUATION),
    }


def _person_lost(known: Known) -> bool:
    return known.choice("task.kind") in ("rescue", "recovery") and known.choice("task.target") == "none_located"


def _gas(known: Known) -> Filled:
    filled: Filled = {
        name: (known.quantity(f"dive.gas.{part}"), SITUATION)
        for name, part in (("cylinder_volume", "cylinder_volume"), ("pressure", "pressure"), ("reserve", "reserve"))
    }
    return filled | _breathing(known) | {"way_back": (known.setting("gas_ascent_minutes", "min"), PROTOCOL)}


def _breathing(known: Known) -> Filled:
    rate = known.setting("gas_rate", "L")
    return {
        "rate": ({"value": rate["value"], "unit": "L/min"}, PROTOCOL),
        "depth": (known.reading("readings.depth"), SITUATION),
        "water": (known.choice("site.water"), SITUATION),
        "altitude": (known.quantity("site.altitude"), SITUATION),
        "gas_temperature": (known.reading("readings.water_temperature"), SITUATION),
    }


def _own_gas(known: Known) -> bool:
    return known.choice("dive.breathing") != "surface_supplied" or known.quantity("dive.gas.pressure") is not None


def _fed_from_the_surface(known: Known) -> bool:
    return known.choice("dive.breathing") == "surface_supplied"


def _no_stop(known: Known) -> Filled:
    adopted = known.protocol.no_stop_adoption
    filled: Filled = {"depth": (known.reading("readings.depth"), SITUATION)}
    altitude = known.quantity("site.altitude")
    if altitude is None and adopted is not None:
        highest = {"value": from_si(adopted.altitude_m, "m", 2), "unit": "m"}
        filled["altitude"] = (highest, PROTOCOL)
    else:
        filled["altitude"] = (altitude, SITUATION)
    if adopted is not None:
        filled["adoption"] = ({"person": adopted.person, "on": adopted.on, "digest": adopted.digest}, PROTOCOL)
    return filled


def _rescue(known: Known) -> Filled:
    under = known.situation.moment("task.submerged_at")
    filled: Filled = {"water_temperature": (known.reading("readings.water_temperature"), SITUATION)}
    if under is not None:
        minutes = max(0, ceil((known.situation.assessed_at - under).total_seconds() / 60))
        filled["minutes_under"] = ({"value": str(minutes), "unit": "min"}, SITUATION)
    return filled


def _cold_air(known: Known) -> bool:
    fact = known.facts.get("readings.air_temperature")
    return fact is not None and fact.state == "given" and float(fact.worst) <= 10.0


def _chill(known: Known) -> Filled:
    return {
        "air_temperature": (known.reading("readings.air_temperature"), SITUATION),
        "wind": (known.reading("readings.wind_speed"), SITUATION),
    }


def _hot_air(known: Known) -> bool:
    fact = known.facts.get("readings.air_temperature")
    return fact is not None and fact.state == "given" and float(fact.best) >= 27.0


def _heat(known: Known) -> Filled:
    return {"air_temperature": (known.reading("readings.air_temperature"), SITUATION)}


def _load(known: Known) -> Filled:
    return {"current": (known.reading(CURRENT), SITUATION), "water": (known.choice("site.water"), SITUATION)}


def _under_ice(known: Known) -> bool:
    return known.choice("hazards.ice_cover") in ("solid", "broken")


def _ice(known: Known) -> Filled:
    return {"clear": (known.reading("readings.ice_thickness"), SITUATION)}


def _at_an_opening(known: Known) -> bool:
    return known.choice("hazards.pressure_difference") in ("possible", "uncontrolled")


def _opening(known: Known) -> Filled:
    return {"water": (known.choice("site.water"), SITUATION)}


def _raise(known: Known) -> Filled:
    return {
        "depth": (known.reading("readings.depth"), SITUATION),
        "water": (known.choice("site.water"), SITUATION),
        "altitude": (known.quantity("site.altitude"), SITUATION),
    }


def _is_rescue(known: Known) -> bool:
    return known.choice("task.kind") == "rescue"


SUBJECTS: tuple[Subject, ...] = (
    Subject("rescue_window", _is_rescue, _rescue),
    Subject("station_windows", _moving, _window, "window"),
    Subject("table_windows", _if_asked, _table, "window"),
    Subject("river_windows", _if_asked, _river, "window"),
    Subject("turn_pressure", _own_gas, _gas),
    Subject("no_stop", _always, _no_stop),
    Subject("holding_limit", _has_vehicle, _holding),
    Subject("tether_shape", _has_vehicle, _tether, "tether", instead=(("profile", "current"),)),
    Subject("launch_side", _if_asked, _side, instead=(("profile", "current"),)),
    Subject("sonar_look", _has_sonar, _sonar, "sonar"),
    Subject("search_effort", _to_be_found, _search, "search"),
    Subject("search_area", _person_lost, _drift),
    Subject("bailout", _fed_from_the_surface, _breathing),
    Subject("daylight", _always, _daylight),
    Subject("ice", _under_ice, _ice),
    Subject("pressure_difference", _at_an_opening, _opening),
    Subject("wind_chill", _cold_air, _chill),
    Subject("heat_index", _hot_air, _heat),
    Subject("diver_load", _moving, _load),
    Subject("lift", _if_asked, _raise),
)
