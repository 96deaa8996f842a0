"""The baseline protocol written out by hand, as if there were no engine: a second opinion, and a yardstick of speed.

Values come by the names of the inputs, in the units that the baseline is printed in (kn, ft, C, min, h) and in
words. Nothing here reads the protocol document: a change there must be made here too, or the test says so.
"""

from collections.abc import Mapping
from itertools import pairwise
from math import ceil
from typing import Any

At = Mapping[str, Any]
Line = tuple[tuple[float, int], ...]

CURRENT: Line = ((0.3, 0), (0.5, 5), (0.8, 12), (1.0, 20), (1.5, 30))
VISIBILITY: Line = ((10, 0), (5, 5), (3, 8), (1, 12), (0, 14))
DEPTH: Line = ((20, 0), (33, 3), (60, 8), (100, 16), (130, 22))
WATER: Line = ((18, 0), (10, 4), (5, 8), (2, 12))
WAVES: Line = ((1, 0), (2, 4), (4, 8))
WIND: Line = ((10, 0), (20, 4), (30, 8))
CHILL: Line = ((0, 0), (-10, 4), (-28, 8))
HEAT: Line = ((30, 0), (35, 4), (40, 8))
CARE: Line = ((15, 0), (30, 3), (60, 8), (120, 12))
AWAKE: Line = ((10, 0), (14, 4), (16, 8))
DIVES: Line = ((1, 0), (3, 8))
DAYLIGHT: Line = ((120, 0), (30, 4), (0, 8))
ENTANGLEMENT = {"none": 0, "light": 4, "moderate": 10, "severe": 18}
OVERHEAD = {"open": 0, "restricted": 8, "overhead": 18}
PRESSURE = {"none": 0, "isolated": 4, "possible": 20, "uncontrolled": 40}
CONTAMINATION = {"none": 0, "low": 3, "moderate": 8, "high": 14, "extreme": 20}
TRAFFIC = {"none": 0, "controlled": 4, "uncontrolled": 12}
ICE = {"none": 0, "broken": 6, "solid": 8}


def decide_by_hand(at: At) -> tuple[str, int]:
    """Decision and score."""
    score = min(100, sum(_points(at)) + _together(at))
    owned = at["vehicle.owned"] == "yes"
    able = owned and not _vehicle_unable(at)
    rescue = at["task.gain"] == "rescue"
    foul = at["hazards.contamination"] in ("high", "extreme")
    holds = score > 45 or at["hazards.entanglement"] == "severe" or foul
    if _missing(at) or _stop_for_everybody(at):
        decision = "hold"
    elif _water_stops_divers(at) or _kit_or_crew_stops_divers(at) or (rescue and score > 65):
        decision = "vehicle_only" if able else "hold"
    elif rescue:
        decision = "divers_with_controls"
    elif owned and (holds or _triggered(at)):
        decision = "vehicle_first" if able else "hold"
    elif holds:
        decision = "hold"
    elif _triggered(at) or score > 20 or _water_asks_for_controls(at) or _crew_asks_for_controls(at):
        decision = "divers_with_controls"
    else:
        decision = "divers"
    return decision, score


def _along(line: Line, value: float) -> int:
    """Straight lines between the points, rounded up; the ninth decimal is the float's, not the reading's."""
    down = line[0][0] > line[-1][0]
    if (value >= line[0][0]) if down else (value <= line[0][0]):
        return line[0][1]
    for (start, low), (end, high) in pairwise(line):
        if (value >= end) if down else (value <= end):
            return ceil(round(low + (high - low) * (value - start) / (end - start), 9))
    return line[-1][1]


def _points(at: At) -> list[int]:
    return [
        _along(CURRENT, at["readings.current"]),
        _along(VISIBILITY, at["readings.visibility"]),
        _along(DEPTH, at["readings.depth"]),
        _along(WATER, at["readings.water_temperature"]),
        _along(WAVES, at["readings.wave_height"]),
        _along(WIND, at["readings.wind_speed"]),
        _along(CHILL, at["computed.wind_chill"]),
        _along(HEAT, at["computed.heat"]),
        _along(CARE, at["support.care_minutes"]),
        _along(AWAKE, at["computed.hours_awake"]),
        _along(DIVES, at["computed.dives_24h"]),
        _along(DAYLIGHT, at["readings.daylight_left"]),
        ENTANGLEMENT[at["hazards.entanglement"]],
        OVERHEAD[at["hazards.overhead"]],
        PRESSURE[at["hazards.pressure_difference"]],
        CONTAMINATION[at["hazards.contamination"]],
        TRAFFIC[at["hazards.vessel_traffic"]],
        ICE[at["hazards.ice_cover"]],
    ]


def _together(at: At) -> int:
    """What is worse together than one by one."""
    blind, entangling = at["readings.visibility"] < 5, at["hazards.entanglement"] != "none"
    points = 8 if blind and entangling else 0
    points += 8 if at["readings.current"] > 0.5 and entangling else 0
    points += 5 if at["readings.depth"] > 60 and at["readings.water_temperature"] < 10 else 0
    points += 8 if blind and at["hazards.overhead"] != "open" else 0
    return points + (6 if at["positions.diver.qualified"] == "no" else 0)


def _lacks(at: At, position: str, *states: str) -> bool:
    return any(at[f"positions.{position}.{state}"] == "no" for state in states)


def _missing(at: At) -> bool:
    return (
        at["support.emergency_plan"] == "no"
        or _lacks(at, "supervisor", "filled", "qualified", "ready", "sole_duty")
        or _lacks(at, "diver", "filled", "ready", "sole_duty")
        or _lacks(at, "diver_tender", "filled", "ready", "sole_duty")
        or _lacks(at, "standby_diver", "filled", "qualified", "ready", "sole_duty")
    )


def _stop_for_everybody(at: At) -> bool:
    thin_ice = at["hazards.ice_cover"] != "none" and at["readings.ice_thickness"] < 4
    gale = at["readings.wind_speed"] > 33
    return at["hazards.lightning"] == "yes" or at["hazards.pressure_difference"] == "uncontrolled" or thin_ice or gale


def _water_stops_divers(at: At) -> bool:
    scuba, depth = at["dive.breathing"] == "scuba", at["readings.depth"]
    return (
        at["readings.current"] > 1.5
        or depth > (130 if scuba else 190)
        or (depth > 100 and at["support.chamber_minutes"] > 5)
        or at["hazards.pressure_difference"] == "possible"
        or at["hazards.contamination"] == "extreme"
        or (scuba and at["hazards.contamination"] == "high")
        or at["hazards.vessel_traffic"] == "uncontrolled"
        or (at["readings.water_temperature"] < 3 and at["dive.cold_gear"] == "no")
        or at["computed.water_heat"] * 9 / 5 + 32 > 99
        or at["readings.wave_height"] > 4
    )


def _kit_or_crew_stops_divers(at: At) -> bool:
    silent = at["dive.voice"] == "no"
    return (
        at["dive.line"] != "tended"
        or at["dive.recall_signal"] == "no"
        or at["dive.plan_unchanged"] == "no"
        or (silent and (at["readings.visibility"] < 3 or at["dive.breathing"] == "surface_supplied"))
        or (at["hazards.overhead"] == "overhead" and (silent or _lacks(at, "standby_tender", "filled", "ready")))
        or at["dive.bottom_time"] > at["computed.gas_minutes"]
        or at["computed.hours_awake"] > 16
        or at["computed.dives_24h"] > 3
    )


def _triggered(at: At) -> bool:
    return (
        at["task.target"] in ("contact", "none_located")
        or at["hazards.entanglement"] == "moderate"
        or at["hazards.contamination"] == "moderate"
        or at["readings.depth"] > 100
    )


def _vehicle_unable(at: At) -> bool:
    return (
        at["vehicle.available"] == "no"
        or at["readings.current"] > at["computed.vehicle_current_limit"]
        or at["readings.depth"] > min(at["vehicle.depth_rating"], at["computed.vehicle_reach"])
        or at["readings.wave_height"] > 3
        or (at["readings.visibility"] < 3 and at["vehicle.imaging_sonar"] == "no")
        or _lacks(at, "vehicle_pilot", "filled", "qualified", "ready", "sole_duty")
        or _lacks(at, "tether_handler", "filled", "qualified", "ready", "sole_duty")
    )


def _water_asks_for_controls(at: At) -> bool:
    return (
        at["readings.visibility"] < 5
        or at["readings.current"] > 0.5
        or at["hazards.entanglement"] != "none"
        or at["hazards.overhead"] != "open"
        or at["hazards.pressure_difference"] != "none"
        or at["hazards.contamination"] != "none"
        or at["hazards.vessel_traffic"] != "none"
        or at["hazards.ice_cover"] != "none"
        or at["readings.water_temperature"] * 9 / 5 + 32 <= 37
        or at["computed.water_heat"] * 9 / 5 + 32 > 88
        or at["computed.wind_chill"] < -10
        or at["computed.heat"] > 35
        or at["readings.depth"] > 100
        or at["readings.daylight_left"] < 30
    )


def _crew_asks_for_controls(at: At) -> bool:
    return (
        at["dive.kit_checked"] == "no"
        or at["dive.voice"] == "no"
        or at["positions.diver.qualified"] == "no"
        or at["positions.diver_tender.qualified"] == "no"
        or _lacks(at, "standby_tender", "filled", "ready")
        or at["support.care_minutes"] > 30
    )
