"""How strong the current is: by float, by a station, at depth, after a release."""

from typing import Any

from opsrisk.assessment.computations.answering import quantity, word
from opsrisk.assessment.computations.asking import amount, known, moment, number
from opsrisk.assessment.computations.entry import ANGLE, LENGTH, SPEED, Asked, Computation, Packed, Rows, Values
from opsrisk.assessment.computations.stations import station_of
from opsrisk.assessment.fields import Group
from opsrisk.physics.current import FloatRun, float_speed, speed_at_depth
from opsrisk.physics.river import speed_after_release
from opsrisk.physics.window import current_now
from opsrisk.reference import sources

Answers = dict[str, Any]
KNOTS = ("kn", 2)


def _float(given: Values) -> Answers:
    runs = [FloatRun(row["distance"], row["time"] * 60, row["direction"]) for row in given["runs"]]
    found = float_speed(runs)
    return {
        "surface": found.surface_mps, "lowest": found.low_mps, "highest": found.high_mps, "spread": found.spread_mps,
        "mean": found.mean_mps, "direction": found.direction_deg,
    }  # fmt: skip


def _at_depth(given: Values) -> Answers:
    found = speed_at_depth(
        surface_mps=given["surface"], depth_m=given["depth"], total_depth_m=given["total_depth"]
    )  # fmt: skip
    return {"speed": found.speed_mps, "lowest": found.low_mps, "highest": found.high_mps}


def _station(given: Values) -> Answers:
    found = current_now(station_of(given["station"]), given["at"])
    return {
        "speed": found.speed_mps, "lowest": found.low_mps, "highest": found.high_mps, "direction": found.direction_deg,
        "stream": found.stream,
    }  # fmt: skip


def _released(given: Values) -> Answers:
    speed = speed_after_release(
        speed_mps=given["speed"], discharge_before=given["discharge_before"], discharge_after=given["discharge_after"]
    )
    return {"speed": speed}


RUN = Group(
    {
        "distance": known(LENGTH, 1.0, 500.0),
        "time": known(("s", "min"), 2 / 60, 60.0),
        "direction": known(ANGLE, 0, 360),
    },
    required=("distance", "time"),
)
ARGUMENTS = {
    "runs": "runs", "distance_m": "runs", "seconds": "runs", "direction_deg": "runs", "surface_mps": "surface",
    "depth_m": "depth", "total_depth_m": "total_depth", "at": "at", "speed_mps": "speed",
}  # fmt: skip

ENTRIES = (
    Computation(
        name="float_speed",
        title="Current by float",
        question="How strong is the current here, and how sure is that?",
        method="Distance over time of one or more floats; bounds hold every run and the error of tape and watch.",
        limits="1 to 500 m, 2 s to 1 h, up to 8 m/s. A diver near the surface meets the surface speed, not the mean.",
        page="current",
        sources=(sources.FLOAT_CALCULATOR, sources.OPEN_CHANNEL_STANDARD),
        asks=(Asked("runs", Rows(RUN), "Runs of the float"),),
        answers=(
            quantity("surface", "Surface speed", "m/s", 2, KNOTS),
            quantity("lowest", "At least", "m/s", 2, KNOTS, toward="down",
                     error="in simulated runs the bounds hold the true mean in 95 % or more"),
            quantity("highest", "At most", "m/s", 2, KNOTS, toward="up"),
            quantity("spread", "Spread of the runs", "m/s", 3, ("kn", 3)),
            quantity("mean", "Mean over the depth", "m/s", 2, KNOTS),
            quantity("direction", "Going toward (true)", "deg", 0),
        ),
        call=_float,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="speed_at_depth",
        title="Current at depth",
        question="How strong is the current where the diver works, from what it is at the surface?",
        method="Power law over the depth whose mean is the float coefficient times the surface speed.",
        limits="Steady flow in an open channel; wind, layered or tidal water may run fastest below.",
        page="current",
        sources=(sources.FLOAT_CALCULATOR, sources.OPEN_CHANNEL_STANDARD),
        asks=(
            amount("surface", SPEED, 0.0, 8.0, "Speed at the surface"),
            amount("depth", LENGTH, 0.0, 300.0, "Depth asked about"),
            amount("total_depth", LENGTH, 0.1, 300.0, "Depth of the water"),
        ),
        answers=(
            quantity("speed", "Speed there", "m/s", 2, KNOTS),
            quantity("lowest", "At least", "m/s", 2, KNOTS, toward="down"),
            quantity("highest", "At most", "m/s", 2, KNOTS, toward="up",
                     error="range of the log law over rough and smooth beds"),
        ),
        call=_at_depth,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="station_current",
        title="Current at a station",
        question="What current is predicted here and now?",
        method="Sum of the station's harmonic constituents; bounds hold ten minutes either way and 3 % of the peak.",
        limits="1970 to 2100; no weather and no river flow: a measurement on scene wins.",
        page="current",
        sources=(sources.STATION_CONSTANTS, sources.HARMONIC_MANUAL),
        asks=(
            Asked("station", Packed("a current station with its constituents"), "Current station"),
            moment("at", "When"),
        ),
        answers=(
            quantity("speed", "Speed", "m/s", 2, KNOTS, error="within 0.01 kn of an independent predictor over a year",
                     checked=("tidal_current", "velocity_kn"), within=0.01),
            quantity("lowest", "At least", "m/s", 2, KNOTS, toward="down"),
            quantity("highest", "At most", "m/s", 2, KNOTS, toward="up"),
            quantity("direction", "Going toward (true)", "deg", 0),
            word("stream", "Stream"),
        ),
        call=_station,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="speed_after_release",
        title="Current after a release",
        question="How fast can the river get when the dam lets out more?",
        method="At most in proportion to the discharge, as the cross-section does not shrink; a fall counts nothing.",
        limits="A measured speed, up to 8 m/s; discharges in any one unit, more than nothing.",
        page="current",
        sources=(sources.STREAMFLOW_MEASUREMENT,),
        asks=(
            amount("speed", SPEED, 0.0, 8.0, "Current measured before"),
            number("discharge_before", "0.001", "10000000", "Discharge before"),
            number("discharge_after", "0.001", "10000000", "Discharge after, in the same unit"),
        ),
        answers=(quantity("speed", "At most", "m/s", 2, KNOTS, toward="up", error="a bound: it is not exceeded"),),
        call=_released,
        arguments=ARGUMENTS,
    ),
)  # fmt: skip
