"""Breathing gas: what a cylinder holds, when to turn, how long bailout lasts."""

from typing import Any

from opsrisk.assessment.computations.answering import quantity, yes_no
from opsrisk.assessment.computations.asking import WATER, amount, number
from opsrisk.assessment.computations.entry import (
    DENSITY_KGPM3,
    LENGTH,
    MINUTES,
    PRESSURE,
    RATE,
    TEMPERATURE,
    VOLUME,
    Asked,
    Computation,
    Values,
)
from opsrisk.physics.cylinder import GREATEST_BAR, Cylinder, cooled_pressure_bar, free_gas_l
from opsrisk.physics.gas import Water, ascent_gas_l, bailout, demand_lpm, minutes_at_depth, plan_gas
from opsrisk.physics.water import altitude_pressure_pa
from opsrisk.reference import sources
from opsrisk.reference.gas import PLANNING_RATE

Answers = dict[str, Any]


def _water(given: Values) -> Water:
    return Water(DENSITY_KGPM3[given["water"]], altitude_pressure_pa(altitude_m=given["altitude"]))


def _turn(given: Values) -> Answers:
    cylinder = Cylinder(given["cylinder_volume"], given["pressure"], given["gas_temperature"])
    water, rate, depth = _water(given), given["rate"], given["depth"]
    ascent = ascent_gas_l(
        depth_m=depth, ascent_m_per_min=given["ascent_rate"], rate_lpm=rate, water=water, sharing=int(given["sharing"]),
        delay_min=given["delay"],
    )  # fmt: skip
    plan = plan_gas(
        cylinder=cylinder, reserve_bar=given["reserve"], rate_lpm=rate, depth_m=depth, water=water,
        way_back_min=given["way_back"], ascent_l=ascent,
    )  # fmt: skip
    until_reserve = minutes_at_depth(
        cylinder=cylinder, reserve_bar=given["reserve"], rate_lpm=rate, depth_m=depth, water=water
    )
    return {
        "turn": plan.turn_bar, "task": plan.task_min, "enough": plan.enough, "until_reserve": until_reserve,
        "ascent_gas": plan.ascent_l, "way_back_gas": plan.way_back_l, "held": free_gas_l(cylinder),
        "demand": demand_lpm(rate_lpm=rate, depth_m=depth, water=water),
    }  # fmt: skip


def _bailout(given: Values) -> Answers:
    found = bailout(
        cylinder=Cylinder(given["cylinder_volume"], given["pressure"], given["gas_temperature"]),
        reserve_bar=given["reserve"], rate_lpm=given["rate"], depth_m=given["depth"], water=_water(given),
        ascent_m_per_min=given["ascent_rate"],
    )  # fmt: skip
    return {
        "at_depth": found.minutes_at_depth,
        "ascent": found.ascent_min,
        "covers_ascent": found.covers_ascent,
    }


def _cylinder(given: Values) -> Answers:
    cylinder = Cylinder(given["cylinder_volume"], given["pressure"], given["gas_temperature"])
    answers: Answers = {"held": free_gas_l(cylinder)}
    if given["water_temperature"] is not None:
        answers["cooled"] = cooled_pressure_bar(cylinder, given["water_temperature"])
    return answers


BOTTLE = (
    amount("cylinder_volume", VOLUME, 0.1, 10_000.0, "Water volume of all cylinders together"),
    amount("pressure", PRESSURE, 0.0, GREATEST_BAR, "Gauge pressure"),
)
WARMTH = amount(
    "gas_temperature", TEMPERATURE, -10.0, 50.0, "Temperature of the gas when the gauge was read", span=(0.0, 40.0)
)
RESERVE = amount("reserve", PRESSURE, 0.0, GREATEST_BAR, "Reserve that stays in the cylinder")
BREATHING: tuple[Asked, ...] = (
    amount("rate", RATE, 1.0, 300.0, "Breathing rate at the mouth", setting="39.6",
           why=f"planning rate of the published manual, {PLANNING_RATE.value} ft3/min"),
    amount("depth", LENGTH, 0.0, 100.0, "Depth"),
    WATER,
    amount("altitude", LENGTH, -430.0, 5000.0, "Altitude of the site", setting="0", why="sea level, the cautious end"),
    amount("ascent_rate", LENGTH, 1.0, 30.0, "Ascent, each minute", setting="9.144", why="30 ft a minute"),
)  # fmt: skip
ARGUMENTS = {
    "volume_l": "cylinder_volume", "pressure_bar": "pressure", "temperature_c": "gas_temperature", "reserve_bar":
    "reserve", "rate_lpm": "rate", "depth_m": "depth", "altitude_m": "altitude", "ascent_m_per_min": "ascent_rate",
    "sharing": "sharing", "delay_min": "delay", "way_back_min": "way_back", "density_kgpm3": "water",
    "surface_pa": "altitude",
}  # fmt: skip
HELD = quantity("held", "Free gas in the cylinder", "L", 0, ("ft3", 1), toward="down",
                error="within 0.1 % of the equation of air", checked=("gas", "free_l"), within=0.001)  # fmt: skip
NAVY = (sources.AIR_EQUATION, sources.NAVY_MANUAL_2001_AIR, sources.STANDARD_ATMOSPHERE)

ENTRIES = (
    Computation(
        name="turn_pressure",
        title="Turn pressure",
        question="Is there gas for the task, the way back and a shared ascent, and at which pressure to turn?",
        method="Real air in the cylinder; the demand at depth; way back, shared ascent and reserve set aside first.",
        limits="Air, 0 to 298 bar, -10 to 50 C, 0 to 100 m; a diver in trouble breathes faster than any plan.",
        page="gas",
        sources=NAVY,
        asks=(
            *BOTTLE, WARMTH, RESERVE, *BREATHING,
            amount("way_back", MINUTES, 0.0, 120.0, "Way back at depth"),
            number("sharing", "1", "4", "Divers on this supply in an emergency ascent", setting="2",
                   why="the diver and one who ran out"),
            amount("delay", MINUTES, 0.0, 30.0, "At depth before the ascent begins", setting="1",
                   why="agency's choice"),
        ),
        answers=(
            quantity("turn", "Turn at", "bar", 0, ("psi", 0), toward="up"),
            quantity("task", "Task time until then", "min", 0, toward="down"),
            yes_no("enough", "Enough for the way back, a shared ascent and the reserve"),
            quantity("until_reserve", "Minutes at depth down to the reserve", "min", 0, toward="down"),
            quantity("demand", "Demand at depth", "L/min", 1, ("ft3/min", 2), toward="up"),
            quantity("way_back_gas", "Kept for the way back", "L", 0, ("ft3", 1), toward="up"),
            quantity("ascent_gas", "Kept for the shared ascent", "L", 0, ("ft3", 1), toward="up"),
            HELD,
        ),
        call=_turn,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="bailout",
        title="Bailout",
        question="How long does the bailout last before the ascent on it must begin?",
        method="Real air in the bottle, less the ascent and the reserve, over the demand at depth.",
        limits="Air, 0 to 298 bar, -10 to 50 C, 0 to 100 m.",
        page="gas",
        sources=NAVY,
        asks=(
            *BOTTLE, WARMTH,
            amount("reserve", PRESSURE, 0.0, GREATEST_BAR, "Pressure that the first stage needs", setting="10",
                   why="135 psi in the published example"),
            *BREATHING,
        ),
        answers=(
            quantity("at_depth", "Minutes at depth before the ascent must begin", "min", 1, toward="down"),
            quantity("ascent", "Minutes of the ascent", "min", 1, toward="up"),
            yes_no("covers_ascent", "The bottle covers the ascent"),
        ),
        call=_bailout,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="cylinder",
        title="What the cylinder holds",
        question="How much gas is in there, and what will the gauge show in cold water?",
        method="Pressure, volume and the compressibility of air; the same gas at another temperature.",
        limits="Air, 0 to 298 bar, -10 to 50 C. An ideal gas would flatter it by 2.6 percent at 200 bar.",
        page="gas",
        sources=(sources.AIR_EQUATION,),
        asks=(
            *BOTTLE, WARMTH,
            amount("water_temperature", TEMPERATURE, -10.0, 50.0, "Water temperature", optional=True),
        ),
        answers=(
            HELD,
            quantity("cooled", "Gauge once it is as cold as the water", "bar", 0, ("psi", 0), toward="down",
                     error="within 0.3 bar of the equation of air", checked=("gas", "cooled_bar"), within=0.3),
        ),
        call=_cylinder,
        arguments=ARGUMENTS,
    ),
)  # fmt: skip
