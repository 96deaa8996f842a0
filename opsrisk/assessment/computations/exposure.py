"""Time under water, cold, heat and daylight: what the people here can stand, and until when."""

from datetime import datetime, tzinfo
from typing import Any

from opsrisk.assessment.computations.answering import quantity, time, word, yes_no
from opsrisk.assessment.computations.asking import amount, moment, number
from opsrisk.assessment.computations.entry import MINUTES, TEMPERATURE, WIND, Computation, Values
from opsrisk.physics.daylight import daylight
from opsrisk.physics.exposure import frostbite_within_30_min, heat_index_c, wind_chill_c
from opsrisk.physics.submersion import rescue_window
from opsrisk.reference import sources

Answers = dict[str, Any]
SETTLE = {"minutes_under": "when the person went under", "water_c": "the water temperature"}


def _rescue(given: Values) -> Answers:
    under, water = given["minutes_under"], given["water_temperature"]
    found = rescue_window(
        minutes_under_low=under[0] if under else None, minutes_under_high=under[2] if under else None,
        water_c_low=water[0] if water else None, water_c_high=water[2] if water else None,
    )  # fmt: skip
    return {
        "answer": found.answer, "closes_in": found.closes_in_min, "closes_in_best": found.closes_in_best_min,
        "window": found.window_min, "note": found.note or "none",
        "settle_by": " and ".join(SETTLE[name] for name in found.settle_by) or "nothing: it is settled",
    }  # fmt: skip


def _chill(given: Values) -> Answers:
    air, wind = given["air_temperature"], given["wind"]
    return {
        "chill": wind_chill_c(air_c=air, wind_mps=wind),
        "frostbite": frostbite_within_30_min(air_c=air, wind_mps=wind),
    }


def _heat(given: Values) -> Answers:
    return {"heat": heat_index_c(air_c=given["air_temperature"], humidity_percent=given["humidity"])}


def _daylight(given: Values) -> Answers:
    at: datetime = given["at"]
    found = daylight(at, latitude_deg=given["latitude"], longitude_deg=given["longitude"])
    events = {name: getattr(found, name) for name in ("dawn", "sunrise", "sunset", "dusk")}
    return {name: _minute(event, at.tzinfo) for name, event in events.items()} | {
        "left": found.light_left_min, "to_sunset": found.to_sunset_min,
        "said": found.said or "terrain and cloud take the light earlier",
    }  # fmt: skip


def _minute(event: datetime | None, zone: tzinfo | None) -> str | None:
    """To the minute before: light that is gone a moment early is no surprise."""
    if event is None:
        return None
    return event.astimezone(zone).replace(second=0, microsecond=0).isoformat(timespec="minutes")


AIR = amount("air_temperature", TEMPERATURE, -60.0, 60.0, "Air temperature")
ARGUMENTS = {
    "air_c": "air_temperature", "wind_mps": "wind", "humidity_percent": "humidity", "latitude_deg": "latitude",
    "longitude_deg": "longitude", "at": "at", "minutes_under_low": "minutes_under", "minutes_under_high":
    "minutes_under", "water_c_low": "water_temperature", "water_c_high": "water_temperature",
}  # fmt: skip

ENTRIES = (
    Computation(
        name="rescue_window",
        title="Submersion window",
        question="Is this still a rescue, and until when?",
        method="The published guide: 30 minutes under water above 6 C, 90 at or below, for both ends of what is known.",
        limits="Head under, not immersion; expert opinion and case review, no measurement.",
        page="submersion",
        sources=(sources.SUBMERSION_GUIDE, sources.SUBMERSION_DISSENT),
        asks=(
            amount("minutes_under", MINUTES, 0.0, 43_200.0, "Time under water", optional=True, whole=True),
            amount("water_temperature", TEMPERATURE, -2.5, 40.0, "Water temperature", optional=True, whole=True),
        ),
        answers=(
            word("answer", "The window is"),
            quantity("closes_in", "Closes in, at the sober end", "min", 0, toward="down"),
            quantity("closes_in_best", "Closes in, at the hopeful end", "min", 0, toward="down"),
            quantity("window", "Window at the sober end", "min", 0, toward="down"),
            word("settle_by", "What would settle it"),
            word("note", "Dissent"),
        ),
        call=_rescue,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="wind_chill",
        title="Wind chill",
        question="How cold is it for the crew at the surface?",
        method="The weather service's formula of 2001; above 50 F or under 3 mph the air itself.",
        limits="Air -60 to 60 C, wind to 75 m/s at 10 m above ground; bare skin, no wet clothes.",
        page="exposure",
        sources=(sources.WIND_CHILL_METRIC, sources.WIND_CHILL_CHART),
        asks=(AIR, amount("wind", WIND, 0.0, 75.0, "Wind speed", span=(0.0, 20.0))),
        answers=(
            quantity("chill", "Wind chill", "C", 1, ("F", 0), toward="down", error="every cell of the published chart"),
            yes_no("frostbite", "Bare skin freezes within 30 minutes"),
        ),
        call=_chill,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="heat_index",
        title="Heat index",
        question="How hot is it for the crew at the surface?",
        method="The weather service's regression with both adjustments.",
        limits="Air -60 to 60 C in the shade; below 27 C it says little; sun adds up to 8 C.",
        page="exposure",
        sources=(sources.HEAT_INDEX_EQUATION,),
        asks=(AIR, number("humidity", "0", "100", "Relative humidity, percent", span=(20.0, 100.0))),
        answers=(
            quantity("heat", "Heat index", "C", 1, ("F", 0), toward="up",
                     error="equal to MetPy to 1e-6 where it uses the regression"),
        ),
        call=_heat,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="daylight",
        title="Daylight",
        question="How many minutes until the light is gone here?",
        method="Position of the sun by a short series, each event worked out again at its own moment.",
        limits="1970 to 2100, not within half a degree of a pole; hills and cloud take the light earlier.",
        page="daylight",
        sources=(sources.ASTRONOMICAL_ALGORITHMS,),
        asks=(
            moment("at", "From when"),
            number("latitude", "-89.5", "89.5", "Latitude, degrees north"),
            number("longitude", "-180", "180", "Longitude, degrees east"),
        ),
        answers=(
            quantity("left", "Daylight left, civil twilight included", "min", 0, toward="down",
                     error="within 30 s of an ephemeris", checked=("sun_events", "dusk_s"), within=30.0),
            quantity("to_sunset", "To sunset", "min", 0, toward="down",
                     error="within 30 s of an ephemeris", checked=("sun_events", "sunset_s"), within=30.0),
            time("dawn", "Dawn"), time("sunrise", "Sunrise"), time("sunset", "Sunset"), time("dusk", "Dusk"),
            word("said", "Note"),
        ),
        call=_daylight,
        arguments=ARGUMENTS,
    ),
)  # fmt: skip
