"""Whether the sonar shows the target from where the vehicle hovers, in which mode, at which tilt."""

from math import inf
from typing import Any

from opsrisk.assessment.computations.answering import quantity, word
from opsrisk.assessment.computations.asking import NAME, amount, known, pick
from opsrisk.assessment.computations.entry import (
    ANGLE,
    LENGTH,
    SALINITY,
    SMALL,
    TEMPERATURE,
    WATERS,
    Asked,
    Computation,
    Rows,
    Values,
)
from opsrisk.assessment.fields import Group
from opsrisk.physics.absorption import absorption_db_per_km
from opsrisk.physics.sonar import Look, Mode, Target, best_look, detail_m
from opsrisk.reference import sources

Answers = dict[str, Any]
FEWEST_BEAMS = 2.0  # an echo one beam wide is a dot: agency's choice, from what two points need to show as two
TILTS_TRIED = tuple(float(tilt) for tilt in range(-10, 85, 5))
WILL, MAY, HIDDEN = "will show", "may show", "hidden"


def _look(given: Values) -> Answers:
    modes = tuple(
        Mode(
            row["name"], row["frequency"], row["vertical_beam"], row["beam_spacing"], row["least_range"] or 0.0,
            row["greatest_range"],
        )
        for row in given["modes"]
    )  # fmt: skip
    mode, tilt, found = best_look(
        modes=modes,
        tilts_deg=TILTS_TRIED if given["tilt"] is None else (given["tilt"],),
        sonar_depth_m=given["sonar_depth"],
        bottom=tuple((row["distance"], row["depth"]) for row in given["bottom"]),
        target=Target(given["target_distance"], given["target_height"], given["target_width"]),
        temperature_c=given["temperature"],
        salinity=SALINITY[given["water"]],
    )
    steepest, flattest = found.tilts_deg or (None, None)
    return {
        "verdict": _verdict(found), "why": found.verdict, "mode": mode.name, "tilt": tilt, "tilt_from": steepest,
        "tilt_to": flattest, "share_seen": 100 * found.share_seen, "range": found.range_m, "detail": found.detail_m,
        "beams_across": found.beams_across, "water_loss": found.water_loss_db,
        "see_in_from": None if found.see_in_from_m == inf else max(0.0, found.see_in_from_m),
    }  # fmt: skip


def _verdict(found: Look) -> str:
    if found.verdict == "seen":
        return WILL if found.beams_across >= FEWEST_BEAMS else MAY
    return MAY if found.verdict == "partly seen" else HIDDEN


def _detail(given: Values) -> Answers:
    return {"detail": detail_m(range_m=given["range"], beam_spacing_deg=given["beam_spacing"])}


def _absorption(given: Values) -> Answers:
    loss = absorption_db_per_km(
        frequency_khz=given["frequency"], temperature_c=given["temperature"], salinity=SALINITY[given["water"]],
        depth_m=given["depth"],
    )  # fmt: skip
    return {"loss": loss}


MODE = Group(
    {"name": NAME, "frequency": known(("kHz",), 10.0, 3000.0), "vertical_beam": known(ANGLE, 0.5, 120.0),
     "beam_spacing": known(ANGLE, 0.01, 5.0), "least_range": known(LENGTH, 0.0, 50.0),
     "greatest_range": known(LENGTH, 0.1, 500.0)},
    required=("name", "frequency", "vertical_beam", "beam_spacing", "greatest_range"),
)  # fmt: skip
BOTTOM = Group({"distance": known(LENGTH, 0.0, 500.0), "depth": known(LENGTH, 0.0, 500.0)},
               required=("distance", "depth"))  # fmt: skip
SALT = pick("water", WATERS, "Water", why="any water: salt takes more of a low sound")
WARMTH = amount("temperature", TEMPERATURE, 0.0, 35.0, "Water temperature", span=(0.0, 30.0))
ARGUMENTS = {
    "tilt_deg": "tilt", "sonar_depth_m": "sonar_depth", "distance_m": "target_distance", "height_m": "target_height",
    "width_m": "target_width", "bottom": "bottom", "bottom depth_m": "bottom", "temperature_c": "temperature",
    "frequency_khz": "frequency", "vertical_beam_deg": "modes", "beam_spacing_deg": "beam_spacing",
    "least_range_m": "modes", "greatest_range_m": "modes", "range_m": "range", "depth_m": "depth",
}  # fmt: skip

ENTRIES = (
    Computation(
        name="sonar_look",
        title="Sonar look",
        question="Which mode and tilt show this target from here, or is it hidden?",
        method="Straight rays in the upright plane: beam, tilt, ridges on the way, range; the best of those tried.",
        limits="Sound reaching a target is not somebody noticing it; layered water bends the rays.",
        page="sonar",
        sources=(sources.ABSORPTION_SHORT, sources.COMMON_PRACTICE),
        asks=(
            Asked("modes", Rows(MODE, most=6), "Working modes of the sonar, from its papers"),
            amount("tilt", ANGLE, -90.0, 90.0, "Tilt, down from level; left out, every 5 degrees is tried",
                   optional=True),
            amount("sonar_depth", LENGTH, 0.0, 500.0, "Depth of the sonar"),
            Asked("bottom", Rows(BOTTOM, least=2), "Bottom from below the sonar outward, past the target"),
            amount("target_distance", LENGTH, 0.1, 500.0, "Level distance to the target"),
            amount("target_height", SMALL, 0.01, 50.0, "Height of the target above the bottom"),
            amount("target_width", SMALL, 0.01, 200.0, "Width of the target"),
            SALT, WARMTH,
        ),
        answers=(
            word("verdict", "The target"), word("why", "because it is"), word("mode", "Mode"),
            quantity("tilt", "Tilt, down from level", "deg", 0),
            quantity("tilt_from", "All of it in the beam from a tilt of", "deg", 0, toward="up"),
            quantity("tilt_to", "to a tilt of", "deg", 0, toward="down"),
            quantity("share_seen", "Part of its height that sound reaches", "%", 0, toward="down",
                     error="within 2 % of rays cast one by one over random bottoms"),
            quantity("range", "Slant range", "m", 1, ("ft", 0), toward="up"),
            quantity("detail", "Width of one beam there", "cm", 1, ("in", 1), toward="up"),
            quantity("beams_across", "Beams across the target", "", 1, toward="down"),
            quantity("water_loss", "Taken by the water there and back", "dB", 1, toward="up",
                     error="within 9 percent of the full formula of 1982 to 1,000 kHz",
                     checked=("absorption", "db_per_km"), within=0.09),
            quantity("see_in_from", "Nothing hides it from a sonar depth of", "m", 1, ("ft", 0), toward="down"),
        ),
        call=_look,
        arguments=ARGUMENTS,
        most_points=60,
    ),
    Computation(
        name="sonar_detail",
        title="Detail at range",
        question="How far apart must two things be to show as two?",
        method="Range times the angle between beams.",
        limits="0 to 500 m, beams 0.01 to 5 degrees apart; lengths read off a picture are good to about 10 percent.",
        page="sonar",
        sources=(sources.COMMON_PRACTICE,),
        asks=(
            amount("range", LENGTH, 0.0, 500.0, "Range"),
            amount("beam_spacing", ANGLE, 0.01, 5.0, "Angle between beams"),
        ),
        answers=(quantity("detail", "Detail", "cm", 1, ("in", 1), toward="up"),),
        call=_detail,
        arguments=ARGUMENTS,
    ),
    Computation(
        name="sonar_absorption",
        title="Absorption of sound",
        question="How much of the sonar's sound does the water itself take?",
        method="The simplified formula of 1998 for boric acid, magnesium sulphate and the water itself.",
        limits="0.1 to 3,000 kHz, 0 to 35 C, 0 to 1,000 m; above 1,000 kHz only the water's own term is left.",
        page="sonar",
        sources=(sources.ABSORPTION_SHORT, sources.ABSORPTION_FULL),
        asks=(
            amount("frequency", ("kHz",), 0.1, 3000.0, "Frequency"), WARMTH, SALT,
            amount("depth", LENGTH, 0.0, 1000.0, "Depth"),
        ),
        answers=(
            quantity("loss", "Loss", "dB/km", 1, toward="up",
                     error="within 9 percent of the full formula of 1982 to 1,000 kHz",
                     checked=("absorption", "db_per_km"), within=0.09),
        ),
        call=_absorption,
        arguments=ARGUMENTS,
    ),
)  # fmt: skip
