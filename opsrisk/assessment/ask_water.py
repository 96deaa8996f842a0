"""Questions about the water and the bottom at the target."""

from opsrisk.assessment.question import Choice, Question, Scale, Screen

FEET_AND_METRES = (("ft", "feet", 0), ("m", "metres", 1))

CURRENT = Question(
    "readings.current",
    "reading",
    "Current at the work depth",
    hint="A float timed over a known distance, or a meter. Near the bottom if you can.",
    scale=Scale(
        "kn",
        possible=("0", "20"),
        usual=("0", "4"),
        offered=(("kn", "knots", 1), ("m/s", "metres a second", 2), ("ft/s", "feet a second", 1)),
    ),
    offer="current",
)

VISIBILITY = Question(
    "readings.visibility",
    "reading",
    "Visibility under water",
    hint="How far a diver or the camera sees, without a lamp. Zero is an answer.",
    scale=Scale("m", possible=("0", "80"), usual=("0", "15"), offered=FEET_AND_METRES),
)

DEPTH = Question(
    "readings.depth",
    "reading",
    "Depth at the target",
    hint="The deepest place that a diver would go to.",
    scale=Scale("ft", possible=("0", "1000"), usual=("1", "130"), offered=(*FEET_AND_METRES, ("fsw", "fsw", 0))),
)

WATER_TEMPERATURE = Question(
    "readings.water_temperature",
    "reading",
    "Water temperature",
    hint="At the work depth if you can: it is often colder than at the surface.",
    scale=Scale("C", possible=("-2", "40"), usual=("0", "30"), offered=(("F", "°F", 0), ("C", "°C", 0))),
)

ENTANGLEMENT = Question(
    "hazards.entanglement",
    "choice",
    "What can catch a diver?",
    choices=(
        Choice("none", "Nothing", "a clean bottom, seen"),
        Choice("light", "Light", "weed, twigs, a single slack line"),
        Choice("moderate", "Moderate", "branches, loose cable, pieces of net"),
        Choice("severe", "Severe", "timber, nets, pilings, a wreck with lines on it"),
    ),
)

OVERHEAD = Question(
    "hazards.overhead",
    "choice",
    "Can a diver go straight up from everywhere?",
    choices=(
        Choice("open", "Yes, open water", "nothing between the diver and the air"),
        Choice("restricted", "Not everywhere", "between pilings, under a dock's edge, a tight place"),
        Choice("overhead", "No, overhead", "inside, under ice, in a pipe, a tank or a wreck"),
    ),
)

PRESSURE = Question(
    "hazards.pressure_difference",
    "choice",
    "Can water flow through anything down there?",
    hint="Intake, sluice, dam, weir, siphon, pump, thruster: any such path is possible until proven shut.",
    choices=(
        Choice("none", "No structure", "no path that water could take"),
        Choice("isolated", "Proven shut", "stopped, locked out, and somebody checked"),
        Choice("possible", "Possible", "there is a path and nobody has proven it shut"),
        Choice("uncontrolled", "It flows", "water is going through, or may start to"),
    ),
)

CONTAMINATION = Question(
    "hazards.contamination",
    "choice",
    "What is in the water?",
    choices=(
        Choice("none", "Clean", "known to be fit to swim in"),
        Choice("low", "Low", "ordinary run-off after rain"),
        Choice("moderate", "Moderate", "sewage, fuel on the surface, a body"),
        Choice("high", "High", "known chemicals or disease: skin must stay dry"),
        Choice("extreme", "Extreme", "no suit is known to keep it out"),
    ),
)


def _alone(name: str, section: str, why: str, question: Question) -> Screen:
    return Screen(name, section, question.label, why, (question,))


SCREENS = (
    _alone("current", "Water", "Current moves a diver off the task, loads the line and hides the bottom.", CURRENT),
    _alone(
        "visibility", "Water", "Below 5 ft a search by eye is slow, and a diver does not see what is ahead.", VISIBILITY
    ),
    _alone(
        "depth", "Water", "Depth uses gas faster, shortens the time without stops and needs the qualification.", DEPTH
    ),
    _alone(
        "temperature",
        "Water",
        "Cold takes hands and judgement, freezes gear, and keeps a rescue open longer.",
        WATER_TEMPERATURE,
    ),
    _alone("entanglement", "Bottom", "A caught diver needs time, gas, a knife and a second diver.", ENTANGLEMENT),
    _alone("overhead", "Bottom", "A diver who cannot go straight up must find the way back.", OVERHEAD),
    _alone(
        "pressure",
        "Bottom",
        "Flow through an opening cannot be felt until it holds the diver, and it does not let go.",
        PRESSURE,
    ),
    _alone(
        "contamination", "Bottom", "It decides which suit, which mask and how the crew is washed down.", CONTAMINATION
    ),
)
