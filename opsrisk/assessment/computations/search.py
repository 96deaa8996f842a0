"""How long a search takes, by vehicle and by divers, and where a person can have drifted."""

from typing import Any

from opsrisk.assessment.computations.answering import drawn, quantity, word
from opsrisk.assessment.computations.asking import amount, number, pick
from opsrisk.assessment.computations.entry import ANGLE, LENGTH, MINUTES, SPEED, Computation, Values
from opsrisk.physics.drift import drift_minutes, search_area
from opsrisk.physics.search import Effort, Searcher, chance_of_finding, coverage_for, diver_minutes_saved
from opsrisk.reference import sources

Answers = dict[str, Any]
LAWS = ("random", "ideal", "definite")
TRACKS_DRAWN = 60


def _effort(given: Values) -> Answers:
    vehicle = Searcher("vehicle", given["vehicle_speed"], given["vehicle_sweep"], given["vehicle_turn"])
    divers = Searcher(
        "divers", given["diver_speed"], given["diver_sweep"], given["diver_turn"], in_water=int(given["divers"]),
        bottom_min=given["bottom_time"], between_min=given["between"],
    )  # fmt: skip
    by_vehicle, by_divers, saved = diver_minutes_saved(
        vehicle=vehicle, divers=divers, length_m=given["length"], width_m=given["width"], chance=given["chance"],
        law=given["law"],
    )  # fmt: skip
    answers = {
        "vehicle_minutes": by_vehicle.minutes, "vehicle_tracks": float(by_vehicle.tracks),
        "vehicle_spacing": by_vehicle.spacing_m, "chance": 100 * by_vehicle.chance,
        "diver_minutes": by_divers.diver_minutes, "diver_elapsed": by_divers.minutes,
        "dives": float(by_divers.dives), "saved": saved,
    }  # fmt: skip
    return answers | {"pattern": _pattern(by_vehicle, given), "advice": _advice(by_vehicle, given)}


def _pattern(by_vehicle: Effort, given: Values) -> list[Answers]:
    """The vehicle's tracks as lines across the area, in the order in which they are run."""
    spacing = by_vehicle.spacing_m
    across = [spacing * (track + 0.5) for track in range(min(by_vehicle.tracks, TRACKS_DRAWN))]
    ends = [(0.0, given["length"]), (given["length"], 0.0)]
    return [{"across": at, "starts": ends[place % 2][0], "ends": ends[place % 2][1]} for place, at in enumerate(across)]


def _advice(by_vehicle: Effort, given: Values) -> str:
    """Which way to run the tracks: few long ones along the stream, and out of the tether's way."""
    along = "along the current where there is one, the tether then trails behind and not across the next track"
    words = f"{by_vehicle.tracks} tracks, each {given['length']:.0f} m, {along}."
    reach = given["tether"]
    if reach is not None and reach < (given["length"] ** 2 + given["width"] ** 2) ** 0.5:
        words += " The tether does not reach from one corner to the other: move the platform, or search in two parts."
    return words


def _chance(given: Values) -> Answers:
    return {"chance": 100 * chance_of_finding(coverage=given["coverage"], law=given["law"])}


def _coverage(given: Values) -> Answers:
    return {"coverage": coverage_for(chance=given["chance"], law=given["law"])}


def _area(given: Values) -> Answers:
    low, _, high = given["surface_time"]
    slow, _, fast = given["sinking"]
    minutes = drift_minutes(surface_min=(low, high), depth_m=given["depth"], sink_mps=(slow, fast))
    current = given["current"]
    found = search_area(
        speed_mps=(current[0], current[2]), minutes=minutes, towards_deg=given["towards"],
        direction_spread_deg=given["spread"], last_seen_error_m=given["last_seen_error"],
        containment=given["containment"],
    )  # fmt: skip
    return {
        "centre": found.centre_m, "towards": found.bearing_deg, "half_length": found.half_length_m,
        "half_width": found.half_width_m, "area": found.area_m2, "shortest": minutes[0], "longest": minutes[1],
    }  # fmt: skip


AGENCY = "agency's choice"
LAW = pick(
    "law", LAWS, "Curve of the chance", setting="random", why="what is left of a planned pattern; flatters nobody"
)
ARGUMENTS = {
    "speed_mps": "vehicle_speed", "sweep_width_m": "vehicle_sweep", "turn_min": "vehicle_turn", "in_water": "divers",
    "between_min": "between", "bottom_min": "bottom_time", "length_m": "length", "width_m": "width",
}  # fmt: skip
DRIFT_ARGUMENTS = {
    "speed_mps": "current", "minutes": "surface_time", "surface_min": "surface_time", "depth_m": "depth",
    "sink_mps": "sinking", "towards_deg": "towards", "direction_spread_deg": "spread",
    "last_seen_error_m": "last_seen_error",
}  # fmt: skip

ENTRIES = (
    Computation(
        name="search_effort",
        title="Search effort",
        question="How long would the vehicle need, how long would divers, for the same chance of finding it?",
        method="Coverage for the chance asked; whole parallel tracks; time with turns, tether and changes.",
        limits="The chance of finding what is in the area and can be found by this means at all.",
        page="search",
        sources=(sources.SEARCH_AND_SCREENING, sources.SEARCH_THEORY_PAGE, sources.SEARCH_DEFINITIONS),
        asks=(
            amount("length", LENGTH, 1.0, 5000.0, "Length of the area"),
            amount("width", LENGTH, 1.0, 5000.0, "Width of the area"),
            number("chance", "0.01", "0.99", "Chance of finding it that is wanted", setting="0.8", why=AGENCY),
            LAW,
            amount("vehicle_speed", SPEED, 0.01, 3.0, "Speed of the vehicle along a track"),
            amount("vehicle_sweep", LENGTH, 0.1, 200.0, "Sweep width of the vehicle, from the team's own trials"),
            amount("vehicle_turn", MINUTES, 0.0, 60.0, "Lost at each end of a track by the vehicle", setting="2",
                   why=AGENCY),
            amount("diver_speed", SPEED, 0.01, 3.0, "Speed of a diver along a track"),
            amount("diver_sweep", LENGTH, 0.1, 200.0, "Sweep width of the divers, from the team's own trials"),
            amount("diver_turn", MINUTES, 0.0, 60.0, "Lost at each end of a track by divers", setting="1", why=AGENCY),
            number("divers", "1", "10", "Divers at work together", setting="1", why="one at a time"),
            amount("bottom_time", MINUTES, 1.0, 600.0, "Time on the bottom of one dive"),
            amount("between", MINUTES, 0.0, 240.0, "From one diver out to the next one in", setting="10", why=AGENCY),
            amount("tether", LENGTH, 1.0, 1000.0, "Tether of the vehicle", optional=True),
        ),
        answers=(
            quantity("vehicle_minutes", "The vehicle needs", "min", 0, toward="up"),
            quantity("diver_elapsed", "Divers need", "min", 0, toward="up"),
            quantity("diver_minutes", "Minutes under water for divers", "min", 0, toward="up"),
            quantity("dives", "in dives", "", 0, toward="up"),
            quantity("saved", "Diver-minutes that the vehicle saves", "min", 0, toward="down",
                     error="the chance within 0.03 of searches played out on a simulated bottom"),
            quantity("chance", "Chance of finding it", "%", 0, toward="down"),
            quantity("vehicle_tracks", "Tracks", "", 0, toward="up"),
            quantity("vehicle_spacing", "Spacing of the tracks", "m", 1, ("ft", 0), toward="down"),
            word("advice", "Pattern"),
            drawn("pattern", "Tracks in order", quantity("across", "Across the area", "m", 1, ("ft", 0)),
                  quantity("starts", "from", "m", 1, ("ft", 0)), quantity("ends", "to", "m", 1, ("ft", 0))),
        ),
        call=_effort,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="chance_of_finding",
        title="Chance of finding",
        question="With this coverage, how likely is it that the target would have been found?",
        method="1 - exp(-coverage) for a random search; other published curves where asked for.",
        limits="Coverage 0 to 10; of a target that is there and can be found by this means.",
        page="search",
        sources=(sources.SEARCH_AND_SCREENING, sources.SEARCH_THEORY_PAGE),
        asks=(number("coverage", "0", "10", "Coverage: sweep width times track length over area"), LAW),
        answers=(quantity("chance", "Chance of finding it", "%", 1, toward="down"),),
        call=_chance,
        arguments={"coverage": "coverage"},
    ),
    Computation(
        name="coverage_for",
        title="Coverage needed",
        question="How much coverage does this chance of finding take?",
        method="The curve of the chance, turned round.",
        limits="Chance 0.01 to 0.99.",
        page="search",
        sources=(sources.SEARCH_AND_SCREENING, sources.SEARCH_THEORY_PAGE),
        asks=(number("chance", "0.01", "0.99", "Chance that is wanted"), LAW),
        answers=(quantity("coverage", "Coverage", "", 2, toward="up"),),
        call=_coverage,
        arguments={"chance": "chance"},
    ),
    Computation(
        name="search_area",
        title="Where to search",
        question="Where can the person have drifted from the last-seen point?",
        method="Time at the surface and sinking, times the current; first moments of the ranges give an ellipse.",
        limits="Slow water and a flat bed: a flood moves a body on the bottom, and this says nothing of that.",
        page="drift",
        sources=(),
        asks=(
            amount("current", SPEED, 0.0, 8.0, "Current, with its bounds", whole=True),
            amount("towards", ANGLE, 0.0, 360.0, "Where the current goes (true)"),
            amount("spread", ANGLE, 0.0, 45.0, "The direction may be off by", setting="15", why=AGENCY),
            amount("surface_time", MINUTES, 0.0, 720.0, "Time at the surface, with its bounds", whole=True),
            amount("depth", LENGTH, 0.0, 300.0, "Depth"),
            amount("sinking", SPEED, 0.05, 3.0, "Speed of sinking, with its bounds: the team's own", whole=True),
            amount("last_seen_error", LENGTH, 1.0, 5000.0, "Radius that holds the last-seen point, 19 of 20"),
            number("containment", "0.5", "0.99", "Chance that the area holds the person", setting="0.95", why=AGENCY),
        ),
        answers=(
            quantity("centre", "Centre from the last-seen point", "m", 0, ("ft", 0)),
            quantity("towards", "toward (true)", "deg", 0),
            quantity("half_length", "Half length along the stream", "m", 0, ("ft", 0), toward="up",
                     error="holds the stated share within 0.02 of 100,000 simulated drifts"),
            quantity("half_width", "Half width across", "m", 0, ("ft", 0), toward="up"),
            quantity("area", "Area", "m2", 0, ("ft2", 0), toward="up"),
            quantity("shortest", "Drift, at least", "min", 1, toward="down"),
            quantity("longest", "Drift, at most", "min", 1, toward="up"),
        ),
        call=_area,
        arguments=DRIFT_ARGUMENTS,
    ),
)  # fmt: skip
