"""Pressure difference, ice, and lifting: forces that no diver can argue with."""

from typing import Any

from opsrisk.assessment.computations.answering import quantity, yes_no
from opsrisk.assessment.computations.asking import WATER, amount, number, pick
from opsrisk.assessment.computations.entry import (
    AREA,
    DENSITY_KGPM3,
    LENGTH,
    MASS,
    SPEED,
    VOLUME,
    Computation,
    Values,
)
from opsrisk.physics.ice import Ice, bearing_kg, effective_thickness_m, thickness_needed_m
from opsrisk.physics.lift import displaced_l, plan_lift
from opsrisk.physics.ranges import OutOfRange
from opsrisk.physics.suction import Opening, flow_m3ps, holding_force_n, reach
from opsrisk.physics.water import altitude_pressure_pa
from opsrisk.reference import sources
from opsrisk.reference.lift import DENSITIES

Answers = dict[str, Any]
LITRES_PER_MINUTE = 60_000.0  # in a cubic metre a second


def _suction(given: Values) -> Answers:
    answers: Answers = {}
    flow = None if given["flow"] is None else given["flow"] / LITRES_PER_MINUTE
    if given["area"] is not None and given["head"] is not None:
        opening = Opening(given["area"], given["head"], DENSITY_KGPM3[given["water"]], given["contraction"])
        answers["force"] = holding_force_n(opening)
        flow = flow_m3ps(opening) if flow is None else flow
    if flow is None:
        raise OutOfRange("flow", "unknown", "the flow, or the opening's area and the difference in level")
    found = reach(flow_m3ps=flow, carried_at_mps=given["carried_at"], sides=given["sides"])
    return answers | {"flow": flow * LITRES_PER_MINUTE, "carried": found.carried_m, "felt": found.felt_m}


def _ice(given: Values) -> Answers:
    ice = Ice(given["clear"], given["white"], given["moving_water"] == "yes")
    answers: Answers = {"effective": effective_thickness_m(ice), "bears": bearing_kg(ice)}
    if given["load"] is not None:
        answers["carries"] = answers["bears"] >= given["load"]
        answers["needed"] = thickness_needed_m(load_kg=given["load"], river=ice.river)
    return answers


def _lift(given: Values) -> Answers:
    displaced = given["displaced"]
    if displaced is None:
        if given["material"] is None:
            raise OutOfRange("displaced_l", "unknown", "litres that it displaces, or what it is made of")
        displaced = displaced_l(mass_kg=given["mass"], material=given["material"])
    found = plan_lift(
        mass_kg=given["mass"], displaced_l=displaced, depth_m=given["depth"],
        density_kgpm3=DENSITY_KGPM3[given["water"]], surface_pa=altitude_pressure_pa(altitude_m=given["altitude"]),
        mud_share=given["mud"], bag_kg=given["bags"],
    )  # fmt: skip
    return {
        "weight": found.weight_kg, "pull": found.pull_kg, "air": found.air_l, "free_air": found.free_air_l,
        "runaway": found.runaway_kg, "swells": found.swells,
    }  # fmt: skip


ARGUMENTS = {
    "area_m2": "area", "head_m": "head", "contraction": "contraction", "flow_m3ps": "flow", "sides": "sides",
    "carried_at_mps": "carried_at", "felt_at_mps": "carried_at", "clear_m": "clear", "white_m": "white",
    "load_kg": "load", "mass_kg": "mass", "displaced_l": "displaced", "depth_m": "depth", "mud_share": "mud",
    "bag_kg": "bags", "material": "material", "density_kgpm3": "water", "altitude_m": "altitude",
}  # fmt: skip

ENTRIES = (
    Computation(
        name="pressure_difference",
        title="Pressure difference",
        question="With what force does an opening hold a body, and from how far does its flow carry one in?",
        method="Density times gravity times head times area; speed falls with distance squared.",
        limits="Isolation and lock-out make a flow approachable, nothing here does. In a corner it reaches further.",
        page="suction",
        sources=(sources.PRESSURE_HAZARD_SHEET, sources.PRESSURE_HAZARD_LECTURE, sources.ORIFICE_HANDBOOK),
        asks=(
            amount("area", AREA, 0.0001, 20.0, "Area of the opening", optional=True),
            amount("head", LENGTH, 0.0, 100.0, "Difference in water level", optional=True),
            amount("flow", ("m3/s", "L/min", "ft3/min"), 0.0, 30_000_000.0, "Flow, where it is known", optional=True),
            WATER,
            number("contraction", "0.5", "1", "Flow over the ideal flow", setting="1",
                   why="cautious; a sharp edge has 0.62"),
            number("sides", "0.05", "1", "Share of the half space that water comes from", setting="1",
                   why="middle of a wall; 0.5 at its foot, 0.25 in a corner"),
            amount("carried_at", SPEED, 0.02, 2.0, "Speed that carries a diver at work", setting="0.2058",
                   why="half the speed that trained swimmers kept up with ease"),
        ),
        answers=(
            quantity("force", "Force on a body that covers it", "N", 0, ("lbf", 0), toward="up",
                     error="a published worked force to 0.3 %"),
            quantity("carried", "A diver is carried in from", "m", 1, ("ft", 0), toward="up"),
            quantity("felt", "The flow is felt from", "m", 1, ("ft", 0)),
            quantity("flow", "Flow", "L/min", 0, ("ft3/min", 0), toward="up"),
        ),
        call=_suction,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="ice",
        title="Ice",
        question="Does the ice carry the team?",
        method="Gold's rule: 50 lb times inches squared; white ice counts half, moving water takes 15 percent.",
        limits="A load at rest on sound, even, floating ice; no cracks, thaw, fallen water level or hole.",
        page="ice",
        sources=(sources.ICE_GUIDELINES, sources.RIVER_AND_SNOW_ICE),
        asks=(
            amount("clear", ("cm", "in", "m"), 0.0, 3.0, "Clear ice, the thinnest measured"),
            amount("white", ("cm", "in", "m"), 0.0, 3.0, "White ice on it", setting="0", why="none stated"),
            pick("moving_water", ("no", "yes"), "Water moves under it"),
            amount("load", MASS, 0.0, 20_000.0, "Load in one place", optional=True),
        ),
        answers=(
            quantity("bears", "Carries in one place", "kg", 0, ("lb", 0), toward="down",
                     error="every row of the printed table"),
            yes_no("carries", "Carries this load"),
            quantity("needed", "Clear ice needed for it", "cm", 0, ("in", 1), toward="up"),
            quantity("effective", "As good as clear ice of", "cm", 1, ("in", 1), toward="down"),
        ),
        call=_ice,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="lift",
        title="Lift",
        question="What does it take to bring the object up, and what breaks loose when the mud lets go?",
        method="Archimedes for the pull, the bottom's hold on top, Boyle for the air.",
        limits="0.1 to 50,000 kg, 0 to 100 m; the hold of mud is the planner's guess, so plan to loosen it instead.",
        page="lift",
        sources=(sources.LIFT_EXAMPLE, sources.LIFT_ARTICLE, *dict.fromkeys(one.source for one in DENSITIES.values())),
        asks=(
            amount("mass", MASS, 0.1, 50_000.0, "Mass in air"),
            amount("displaced", VOLUME, 0.0, 50_000_000.0, "Water that it displaces", optional=True),
            pick("material", tuple(DENSITIES), "Solid material, where nobody knows what it displaces", optional=True),
            amount("depth", LENGTH, 0.0, 100.0, "Depth"),
            WATER,
            amount("altitude", LENGTH, -430.0, 5000.0, "Altitude of the site", setting="0", why="sea level"),
            number("mud", "0", "20", "Hold of the bottom over the weight in water", span=(0.0, 10.0),
                   why="0 on rock to 10 and more in deep mud"),
            amount("bags", MASS, 0.0, 500.0, "Bags' own weight in water", setting="0", why="small"),
        ),
        answers=(
            quantity("weight", "Weight in water", "kg", 1, ("lb", 0), toward="up",
                     error="a published example to 0.1 kg"),
            quantity("pull", "Pull to break it out", "kg", 1, ("lb", 0), toward="up"),
            quantity("air", "Air in the bags at depth", "L", 1, ("ft3", 1), toward="up"),
            quantity("free_air", "Free air for it", "L", 0, ("ft3", 0), toward="up"),
            quantity("runaway", "Too much lift once the bottom lets go", "kg", 1, ("lb", 0), toward="up"),
            quantity("swells", "Times that the air swells on the way up", "", 1, toward="up"),
        ),
        call=_lift,
        arguments=ARGUMENTS,
    ),
)  # fmt: skip
