"""Density, pressure, sound speed: the water and the air above it."""

from typing import Any

from opsrisk.assessment.computations.answering import quantity
from opsrisk.assessment.computations.asking import WATER, amount, number
from opsrisk.assessment.computations.entry import DENSITY_KGPM3, LENGTH, TEMPERATURE, Computation, Values
from opsrisk.physics.water import altitude_pressure_pa, pressure_at_depth_pa, sound_speed_mps, water_density_kgpm3
from opsrisk.reference import sources

Answers = dict[str, Any]
PA_PER_BAR = 1e5
ARGUMENTS = {
    "temperature_c": "temperature", "salinity": "salinity", "depth_m": "depth", "altitude_m": "altitude",
    "surface_pa": "altitude", "density_kgpm3": "water",
}  # fmt: skip

EQUATION_OF_STATE = "of the full equation of state"


def _density(given: Values) -> Answers:
    return {"density": water_density_kgpm3(temperature_c=given["temperature"], salinity=given["salinity"])}


def _pressure(given: Values) -> Answers:
    surface = altitude_pressure_pa(altitude_m=given["altitude"])
    ambient = pressure_at_depth_pa(
        depth_m=given["depth"], density_kgpm3=DENSITY_KGPM3[given["water"]], surface_pa=surface
    )
    return {"ambient": ambient / PA_PER_BAR, "gauge": (ambient - surface) / PA_PER_BAR, "surface": surface / PA_PER_BAR}


def _sound(given: Values) -> Answers:
    speed = sound_speed_mps(temperature_c=given["temperature"], salinity=given["salinity"], depth_m=given["depth"])
    return {"speed": speed}


ENTRIES = (
    Computation(
        name="water_density",
        title="Density of the water",
        question="How heavy is the water here?",
        method="The one-atmosphere equation of state of 1980, from temperature and salinity.",
        limits="-2 to 40 C, salinity 0 to 42; at the surface: 30 m deeper adds 0.14 kg/m3.",
        page="water",
        sources=(sources.SEAWATER_ALGORITHMS,),
        asks=(
            amount("temperature", TEMPERATURE, -2.0, 40.0, "Water temperature", span=(0.0, 30.0)),
            number("salinity", "0", "42", "Practical salinity", span=(0.0, 36.0)),
        ),
        answers=(
            quantity(
                "density", "Density", "kg/m3", 2, ("lb/ft3", 3),
                error=f"within 0.006 kg/m3 {EQUATION_OF_STATE}", checked=("water", "density_kgpm3"), within=0.006,
            ),
        ),
        call=_density,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="pressure_at_depth",
        title="Pressure at depth",
        question="What is the pressure where the diver works?",
        method="Air pressure of the standard atmosphere at the site's altitude, and the weight of the water above.",
        limits="0 to 200 m, altitude -430 to 5,000 m; weather moves the air pressure by up to 5 percent.",
        page="water",
        sources=(sources.STANDARD_ATMOSPHERE, sources.SI_BROCHURE),
        asks=(
            amount("depth", LENGTH, 0.0, 200.0, "Depth"),
            WATER,
            amount("altitude", LENGTH, -430.0, 5000.0, "Altitude of the site", setting="0", why="sea level"),
        ),
        answers=(
            quantity("ambient", "Absolute pressure", "bar", 3, ("psi", 1)),
            quantity(
                "gauge", "Pressure of the water alone", "bar", 3, ("psi", 1),
                error=f"within 0.32 percent {EQUATION_OF_STATE} to 50 m", checked=("water", "gauge_pa"), within=0.0032,
            ),
            quantity(
                "surface", "Air pressure at the surface", "bar", 4, ("psi", 2),
                error="within 0.05 Pa of an independent standard atmosphere", checked=("atmosphere", "pressure_pa"),
                within=0.05,
            ),
        ),
        call=_pressure,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="sound_speed",
        title="Speed of sound",
        question="How fast does the sonar's sound travel here?",
        method="Medwin's short equation in temperature, salinity and depth.",
        limits="0 to 35 C, salinity 0 to 45, 0 to 1,000 m.",
        page="water",
        sources=(sources.SOUND_SPEED_SHORT,),
        asks=(
            amount("temperature", TEMPERATURE, 0.0, 35.0, "Water temperature", span=(0.0, 30.0)),
            number("salinity", "0", "45", "Practical salinity", span=(0.0, 36.0)),
            amount("depth", LENGTH, 0.0, 1000.0, "Depth"),
        ),
        answers=(
            quantity(
                "speed", "Speed of sound", "m/s", 1, ("ft/s", 0),
                error=f"within 0.8 m/s {EQUATION_OF_STATE}", checked=("water", "sound_speed_mps"), within=0.8,
            ),
        ),
        call=_sound,
        arguments=ARGUMENTS,
    ),
)  # fmt: skip
