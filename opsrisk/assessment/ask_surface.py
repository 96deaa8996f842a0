"""Questions about the surface: traffic, weather, ice and light."""

from opsrisk.assessment.question import Choice, Question, Scale, Screen

TRAFFIC = Question(
    "hazards.vessel_traffic",
    "choice",
    "Boats under way near the divers?",
    choices=(
        Choice("none", "None", "nothing can come here"),
        Choice("controlled", "Controlled", "somebody keeps them off, and they obey"),
        Choice("uncontrolled", "Not controlled", "boats pass, or could"),
    ),
)

LIGHTNING = Question(
    "hazards.lightning",
    "choice",
    "Lightning seen or thunder heard in the last half hour?",
    choices=(Choice("no", "No"), Choice("yes", "Yes")),
)

WAVES = Question(
    "readings.wave_height",
    "reading",
    "Wave height",
    hint="From trough to crest, where divers and the vehicle go in.",
    scale=Scale("m", possible=("0", "20"), usual=("0", "2"), offered=(("ft", "feet", 1), ("m", "metres", 1))),
)

WIND = Question(
    "readings.wind_speed",
    "reading",
    "Wind",
    hint="Steady wind, not the gusts.",
    scale=Scale(
        "m/s",
        possible=("0", "60"),
        usual=("0", "20"),
        offered=(
            ("kn", "knots", 0),
            ("mph", "miles an hour", 0),
            ("m/s", "metres a second", 0),
            ("km/h", "kilometres an hour", 0),
        ),
    ),
)

AIR = Question(
    "readings.air_temperature",
    "reading",
    "Air temperature",
    scale=Scale("C", possible=("-50", "55"), usual=("-30", "40"), offered=(("F", "°F", 0), ("C", "°C", 0))),
)

ICE = Question(
    "hazards.ice_cover",
    "choice",
    "Ice on the water?",
    choices=(
        Choice("none", "None"),
        Choice("broken", "Broken", "floes, slush, an open lead"),
        Choice("solid", "Solid", "divers go in through a hole"),
    ),
)

ICE_THICKNESS = Question(
    "readings.ice_thickness",
    "reading",
    "Ice thickness",
    hint="Measured through a hole, at the thinnest place that people stand on.",
    scale=Scale(
        "cm", possible=("0", "400"), usual=("5", "100"), offered=(("in", "inches", 0), ("cm", "centimetres", 0))
    ),
    when=("hazards.ice_cover", ("solid", "broken", "unknown")),
)

DAYLIGHT = Question(
    "readings.daylight_left",
    "reading",
    "Daylight left",
    hint="Minutes until it is dark.",
    scale=Scale("min", possible=("0", "1440"), usual=("0", "1440"), offered=(("min", "minutes", 0),)),
    offer="daylight",
)


def _alone(name: str, why: str, question: Question) -> Screen:
    return Screen(name, "Surface", question.label, why, (question,))


SCREENS = (
    _alone("traffic", "A boat that does not know about the divers is as deadly as the water.", TRAFFIC),
    _alone("lightning", "Nobody works on or in the water while a storm is near.", LIGHTNING),
    _alone("waves", "Waves decide whether divers get out and whether the vehicle gets in.", WAVES),
    _alone("wind", "Wind cools the crew and moves the boat off its mark.", WIND),
    _alone("air", "Cold and heat wear down the people who stand and wait.", AIR),
    _alone("ice", "Ice is an overhead and a floor, and both can fail.", ICE),
    _alone("ice-thickness", "It carries the crew, or it does not.", ICE_THICKNESS),
    _alone("daylight", "A search for a missing diver in the dark is another operation.", DAYLIGHT),
)
