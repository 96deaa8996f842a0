"""Whether the vehicle holds its place, how much tether to pay out, from which side, and what the line comes near to."""

from math import cos, hypot, radians, sin
from typing import Any

from opsrisk.assessment.computations.answering import drawn, quantity, rows, word, yes_no
from opsrisk.assessment.computations.asking import NAME, WATER, amount, known, number
from opsrisk.assessment.computations.entry import (
    ANGLE,
    AREA,
    DENSITY_KGPM3,
    FORCE,
    LENGTH,
    SMALL,
    SPEED,
    Answered,
    Asked,
    Computation,
    Rows,
    Values,
)
from opsrisk.assessment.fields import Group
from opsrisk.physics.holding import envelope, holding_limit
from opsrisk.physics.launch import Obstacle, Place, Station, hold_station, launch_side, snags
from opsrisk.physics.line import Line, Profile, Vector
from opsrisk.physics.ranges import OutOfRange
from opsrisk.reference import sources

Answers = dict[str, Any]
POINTS_DRAWN = 24
MORE_THAN_STRAIGHT = "at least the slack times the straight distance"


def _kit(given: Values) -> dict[str, float]:
    return {
        "thrust_n": given["thrust"], "drag_area_m2": given["drag_area"], "tether_diameter_m": given["tether_diameter"],
        "density_kgpm3": DENSITY_KGPM3[given["water"]], "normal_drag": given["normal_drag"],
        "tangential_drag": given["tangential_drag"],
    }  # fmt: skip


def _limit(given: Values) -> Answers:
    found = holding_limit(
        **_kit(given), tether_out_m=given["tether_out"], depth_m=given["depth"], slack=given["slack"]
    )  # fmt: skip
    return {"current": found.current_mps, "lift": found.vertical_pull_n, "worst": found.direction}


def _envelope(given: Values) -> Answers:
    lengths = tuple(row["length"] for row in given["tethers"])
    depths = tuple(row["depth"] for row in given["depths"])
    found = envelope(**_kit(given), tether_out_m=lengths, depths_m=depths, slack=given["slack"])
    cells = [
        {"tether_out": length, "depth": depth, "current": limit.current_mps if limit else None}
        for length, row in zip(lengths, found.limits, strict=True)
        for depth, limit in zip(depths, row, strict=True)
    ]
    return {"limits": cells}


def profile_of(given: Values) -> Profile:
    """The current along the first axis: one speed, or rows of depth and speed, turned by an angle where it is said."""
    if not given["profile"]:
        if given["current"] is None:
            raise OutOfRange("profile", "unknown", "a current, or rows of depth and speed")
        return ((0.0, float(given["current"]), 0.0),)
    rows_ = []
    for row in given["profile"]:
        turn = radians(row["turned"] or 0.0)
        rows_.append((row["depth"], row["speed"] * cos(turn), row["speed"] * sin(turn)))
    return tuple(rows_)


def _ends(given: Values) -> tuple[Vector, Vector]:
    """Vehicle and platform: the vehicle lies `bearing` off the way the current goes (180: up-current)."""
    turn = radians(given["bearing"])
    vehicle = (given["distance"] * cos(turn), given["distance"] * sin(turn), given["depth"])
    return vehicle, (0.0, 0.0, given["platform_depth"])


def _straight(a: Vector, b: Vector) -> float:
    return hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _along(at: Vector, bearing_deg: float) -> Vector:
    """A point as (distance from the platform toward the vehicle, aside to the right, depth)."""
    turn = radians(bearing_deg)
    return at[0] * cos(turn) + at[1] * sin(turn), -at[0] * sin(turn) + at[1] * cos(turn), at[2]


def _across(along_m: float, aside_m: float, depth_m: float, bearing_deg: float) -> Vector:
    turn = radians(bearing_deg)
    return along_m * cos(turn) - aside_m * sin(turn), along_m * sin(turn) + aside_m * cos(turn), depth_m


def _shape(given: Values) -> Answers:
    vehicle, platform = _ends(given)
    needed = given["slack"] * _straight(vehicle, platform)
    out = needed if given["tether_out"] is None else given["tether_out"]
    line = Line(
        max(1.0, out), given["tether_diameter"], given["normal_drag"], given["tangential_drag"], given["tether_weight"]
    )
    station = hold_station(
        line=line, vehicle_m=vehicle, platform_m=platform, profile=profile_of(given),
        density_kgpm3=DENSITY_KGPM3[given["water"]], thrust_n=given["thrust"], drag_area_m2=given["drag_area"],
    )  # fmt: skip
    return _station_answers(station, needed, given) | _snag_answers(station, given)


def _station_answers(station: Station, needed_m: float, given: Values) -> Answers:
    shape = station.shape
    step = max(1, (len(shape.points_m) - 1) // POINTS_DRAWN)
    drawn = [*shape.points_m[:-1:step], shape.points_m[-1]]
    line = [_along(point, given["bearing"]) for point in drawn]
    return {
        "pay_out": max(1.0, needed_m),
        "holds": station.holds,
        "thrust_needed": station.thrust_needed_n,
        "share": 100 * station.share,
        "current_to_spare": 100 * (station.current_to_spare - 1),
        "lift": station.lift_n,
        "vehicle_tension": shape.vehicle_tension_n,
        "platform_tension": shape.platform_tension_n,
        "deepest": shape.deepest_m,
        "residual": shape.residual_m,
        "line": [{"along": along, "aside": aside, "depth": depth} for along, aside, depth in line],
    }


def _snag_answers(station: Station, given: Values) -> Answers:
    obstacles = tuple(
        Obstacle(
            row["name"],
            _across(row["along"], row["aside"], row["depth"], given["bearing"]),
            _across(
                row["along"] if row["to_along"] is None else row["to_along"],
                row["aside"] if row["to_aside"] is None else row["to_aside"],
                row["to_depth"], given["bearing"],
            ),
        )
        for row in given["obstacles"] or []
    )  # fmt: skip
    found = snags(station.shape, obstacles, given["clearance"])
    return {"snags": [{"obstacle": one.obstacle, "distance": one.distance_m, "depth": one.at_m[2]} for one in found]}


def _side(given: Values) -> Answers:
    places = tuple(
        Place(row["name"], _from_target(row["distance"], row["bearing"], row["depth"] or 0.0))
        for row in given["places"]
    )
    found = launch_side(
        places=places, target_m=(0.0, 0.0, given["depth"]), slack=given["slack"], diameter_m=given["tether_diameter"],
        profile=profile_of(given), density_kgpm3=DENSITY_KGPM3[given["water"]], thrust_n=given["thrust"],
        drag_area_m2=given["drag_area"], normal_drag=given["normal_drag"], tangential_drag=given["tangential_drag"],
    )  # fmt: skip
    target = (0.0, 0.0, given["depth"])
    ranked = [
        {
            "place": place.name, "pay_out": max(1.0, given["slack"] * _straight(place.at_m, target)),
            "thrust_needed": station.thrust_needed_n, "share": 100 * station.share, "holds": station.holds,
        }
        for place, station in found
    ]  # fmt: skip
    return {"best": ranked[0]["place"] if ranked[0]["holds"] else "none of them", "places": ranked}


def _from_target(distance_m: float, bearing_deg: float, depth_m: float) -> Vector:
    """A launch place seen from the target: 180 lies up-current of it."""
    turn = radians(bearing_deg)
    return distance_m * cos(turn), distance_m * sin(turn), depth_m


DRAG = (
    number("normal_drag", "0.05", "4", "Drag coefficient of the tether across the flow", setting="1.5",
           why="measured on armoured cable; plain cable has 1.2"),
    number("tangential_drag", "0", "0.2", "Drag coefficient along the tether", setting="0.01",
           why="skin friction, from memory; the answer hardly depends on it"),
)  # fmt: skip
VEHICLE = (
    amount("thrust", FORCE, 0.1, 100_000.0, "Horizontal thrust of the vehicle"),
    amount("drag_area", AREA, 0.0, 20.0, "Drag area of the vehicle (coefficient times frontal area)"),
    amount("tether_diameter", SMALL, 0.001, 0.1, "Diameter of the tether"),
)
DEPTH_OF_VEHICLE = amount("depth", LENGTH, 0.0, 1000.0, "Depth of the vehicle at the target")
CURRENT = amount("current", SPEED, 0.0, 10.0, "Current, the same from top to bottom", optional=True)
PROFILE = Asked("profile", Rows(Group(
    {"depth": known(LENGTH, 0.0, 1000.0), "speed": known(SPEED, 0.0, 10.0), "turned": known(ANGLE, -180.0, 360.0)},
    required=("depth", "speed"))), "Current by depth, from shallow to deep, in place of one current", optional=True,
)  # fmt: skip
OBSTACLE = Group(
    {"name": NAME, "along": known(LENGTH, -1000.0, 1000.0), "aside": known(LENGTH, -1000.0, 1000.0),
     "depth": known(LENGTH, 0.0, 1000.0), "to_along": known(LENGTH, -1000.0, 1000.0),
     "to_aside": known(LENGTH, -1000.0, 1000.0), "to_depth": known(LENGTH, 0.0, 1000.0)},
    required=("name", "along", "aside", "depth", "to_depth"),
)  # fmt: skip
PLACE = Group(
    {"name": NAME, "distance": known(LENGTH, 0.0, 1000.0), "bearing": known(ANGLE, 0.0, 360.0),
     "depth": known(LENGTH, 0.0, 100.0)}, required=("name", "distance", "bearing"),
)  # fmt: skip
ARGUMENTS = {
    "thrust_n": "thrust", "drag_area_m2": "drag_area", "tether_diameter_m": "tether_diameter", "diameter_m":
    "tether_diameter", "tether_out_m": "tether_out", "length_m": "tether_out", "depth_m": "depth",
    "weight_npm": "tether_weight", "vehicle_m": "depth", "platform_m": "platform_depth", "clearance_m": "clearance",
    "distance between vehicle_m and platform_m": "tether_out", "profile depth_m": "profile", "profile u_mps": "profile",
    "profile v_mps": "profile",
}  # fmt: skip
LINES = (sources.ARMORED_TOWCABLES, sources.VEHICLE_DRAG_PAGE, sources.FLUID_DRAG)


def _tension(name: str, words: str) -> Answered:
    return quantity(
        name, words, "N", 0, ("lbf", 1), error="within 0.5 % of an independent lumped-mass program",
        checked=("tether", f"{name}_n"), within=0.005,
    )  # fmt: skip


ENTRIES = (
    Computation(
        name="holding_limit",
        title="Greatest current for the vehicle",
        question="In how much current does the vehicle still hold its place, in the worst direction?",
        method="Thrust against its own drag and the pull of a hanging tether, over every direction of the current.",
        limits="A current the same from top to bottom, a neutral tether that touches nothing, steady thrust.",
        page="tether",
        sources=LINES,
        asks=(
            *VEHICLE, amount("tether_out", LENGTH, 1.0, 1000.0, "Tether paid out"), DEPTH_OF_VEHICLE, WATER, *DRAG,
            number("slack", "1.01", "2", "Tether out over the straight distance", setting="1.05",
                   why="nearly taut, across the stream, is what stops a vehicle"),
        ),
        answers=(
            quantity("current", "Greatest current", "kn", 2, toward="down",
                     error="0.2 % of the tether's pull from the table of angles, 0.5 % from the line"),
            quantity("lift", "Lift of the tether on the vehicle at that current", "N", 0, ("lbf", 0), toward="up"),
            word("worst", "Worst when the vehicle lies"),
        ),
        call=_limit,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="holding_envelope",
        title="Greatest current by tether and depth",
        question="How does the greatest current change with the tether that is out and the depth?",
        method="The greatest current for the vehicle, at every length and depth asked for.",
        limits="As the greatest current for the vehicle; no value where the tether does not reach.",
        page="tether",
        sources=LINES,
        asks=(
            *VEHICLE, WATER, *DRAG,
            Asked("tethers", Rows(Group({"length": known(LENGTH, 1.0, 1000.0)}, required=("length",)), most=12),
                  "Lengths of tether out"),
            Asked("depths", Rows(Group({"depth": known(LENGTH, 0.0, 1000.0)}, required=("depth",)), most=12), "Depths"),
            number("slack", "1.01", "2", "Tether out over the straight distance", setting="1.05",
                   why="nearly taut, across the stream, is what stops a vehicle"),
        ),
        answers=(
            rows("limits", "Greatest current", quantity("tether_out", "Tether out", "m", 1, ("ft", 0)),
                 quantity("depth", "Depth", "m", 1, ("ft", 0)),
                 quantity("current", "Greatest current", "kn", 2, toward="down")),
        ),
        call=_envelope,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="tether_shape",
        title="Tether to the target",
        question="How much tether to pay out, does the vehicle hold there, and what does the line come near to?",
        method="The exact shape of a hanging line in the current; its pull and the vehicle's drag against thrust.",
        limits="Steady current, a line at rest that touches nothing; 1 to 1,000 m of line, up to 10 m/s.",
        page="tether",
        sources=LINES,
        asks=(
            *VEHICLE, DEPTH_OF_VEHICLE,
            amount("distance", LENGTH, 0.0, 1000.0, "Level distance from the platform to the target"),
            amount("bearing", ANGLE, 0.0, 360.0, "Where the target lies from the platform: 0 down-current, 90 across, "
                   "180 up-current", setting="90", why="across the stream, the worst"),
            WATER, CURRENT, PROFILE, *DRAG,
            amount("tether_weight", ("N/m",), -50.0, 50.0, "Weight of the tether in water, sinking positive",
                   setting="0", why="neutral"),
            amount("platform_depth", LENGTH, 0.0, 100.0, "Depth at which the tether enters", setting="0",
                   why="surface"),
            amount("tether_out", LENGTH, 1.0, 1000.0, "Tether paid out, where it is not the advised length",
                   optional=True),
            number("slack", "1.01", "2", "Tether to pay out over the straight distance", setting="1.1",
                   why="agency's choice"),
            Asked("obstacles", Rows(OBSTACLE), "Obstacles: along and aside (right) of the line from platform to target",
                  optional=True),
            amount("clearance", LENGTH, 0.0, 100.0, "Warn of obstacles nearer than", setting="3",
                   why="agency's choice"),
        ),
        answers=(
            quantity("pay_out", "Tether to pay out", "m", 0, ("ft", 0), toward="up"),
            yes_no("holds", "The vehicle holds"),
            quantity("share", "Share of its thrust", "%", 0, toward="up"),
            quantity("thrust_needed", "Thrust needed", "N", 0, ("lbf", 0), toward="up"),
            quantity("current_to_spare", "Every current may grow by", "%", 0, toward="down"),
            quantity("lift", "Lift of the tether on the vehicle", "N", 0, ("lbf", 0)),
            _tension("vehicle_tension", "Tension at the vehicle"),
            _tension("platform_tension", "Tension at the platform"),
            quantity("deepest", "Deepest point of the tether", "m", 1, ("ft", 0), toward="up"),
            drawn("snags", "Comes near to, at the middle of what is known", word("obstacle", "Obstacle"),
                 quantity("distance", "Distance", "m", 1, ("ft", 1), toward="down"),
                 quantity("depth", "At depth", "m", 1, ("ft", 0))),
            drawn("line", "The line from the vehicle", quantity("along", "Toward the target", "m", 2, ("ft", 1)),
                  quantity("aside", "Aside", "m", 2, ("ft", 1)), quantity("depth", "Depth", "m", 2, ("ft", 1))),
        ),
        call=_shape,
        arguments=ARGUMENTS,
        most_points=12,
    ),
    Computation(
        name="launch_side",
        title="Side to launch from",
        question="From which of these places does the vehicle need the least thrust?",
        method="The tether's shape and the thrust needed from every place, least first.",
        limits="As the tether to the target; a vehicle that loses its thrust up-current drifts on to the target.",
        page="tether",
        sources=LINES,
        asks=(
            *VEHICLE, DEPTH_OF_VEHICLE,
            Asked("places", Rows(PLACE, most=8), "Places, seen from the target: bearing 180 lies up-current"),
            WATER, CURRENT, PROFILE, *DRAG,
            number("slack", "1.01", "2", "Tether to pay out over the straight distance", setting="1.1",
                   why="agency's choice"),
        ),
        answers=(
            word("best", "Best place"),
            rows("places", "Places", word("place", "Place"),
                 quantity("pay_out", "Tether", "m", 0, ("ft", 0), toward="up"),
                 quantity("thrust_needed", "Thrust needed", "N", 0, ("lbf", 0), toward="up"),
                 quantity("share", "Share of thrust", "%", 0, toward="up"), yes_no("holds", "Holds")),
        ),
        call=_side,
        arguments=ARGUMENTS,
    ),
)  # fmt: skip
