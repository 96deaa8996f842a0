"""Questions about the dive, the help that is near, and the vehicle."""

from opsrisk.assessment.question import YES_NO, Choice, Question, Scale, Screen

MINUTES = (("min", "minutes", 0),)

BREATHING = Question(
    "dive.breathing",
    "choice",
    "What do the divers breathe from?",
    choices=(
        Choice("surface_supplied", "Surface supply", "an umbilical from the shore or the boat"),
        Choice("scuba", "Scuba", "what the diver carries"),
    ),
)

LINE = Question(
    "dive.line",
    "choice",
    "Is each diver on a line?",
    choices=(
        Choice("tended", "Tended", "a hand on it all the time"),
        Choice("untended", "Not tended", "made fast, or to a float"),
        Choice("none", "No line"),
    ),
)

VOICE = Question(
    "dive.voice", "choice", "Can you talk to the diver?", hint="A voice link, tested today.", choices=YES_NO
)
KIT = Question(
    "dive.kit_checked",
    "choice",
    "Has every diver's kit been checked today?",
    hint="By a second person.",
    choices=YES_NO,
)
RECALL = Question(
    "dive.recall_signal",
    "choice",
    "Can you call the divers back?",
    hint="A signal that works here and that all know.",
    choices=YES_NO,
)
PLAN = Question(
    "dive.plan_unchanged",
    "choice",
    "Is the plan the one that was briefed?",
    hint="No, if anything was changed on the day.",
    choices=YES_NO,
)

COLD_GEAR = Question(
    "dive.cold_gear",
    "choice",
    "Is the breathing gear rated for cold water?",
    hint="By its papers, and serviced for it.",
    choices=YES_NO,
)

BOTTOM_TIME = Question(
    "dive.bottom_time",
    "quantity",
    "Planned bottom time",
    hint="From leaving the surface until leaving the bottom.",
    scale=Scale("min", possible=("0", "600"), usual=("5", "60"), offered=MINUTES),
)

ON_SCUBA = ("dive.breathing", ("scuba", "unknown"))
PRESSURES = (("psi", "psi", 0), ("bar", "bar", 0))

CYLINDERS = Question(
    "dive.gas.cylinder_volume",
    "quantity",
    "Cylinder volume",
    hint="The water volume stamped on the neck, in litres; all cylinders of one diver together.",
    scale=Scale("L", possible=("0.1", "2000"), usual=("5", "40"), offered=(("L", "litres", 1),)),
    when=ON_SCUBA,
)

PRESSURE = Question(
    "dive.gas.pressure",
    "quantity",
    "Cylinder pressure now",
    hint="Of the diver who has least.",
    scale=Scale("bar", possible=("0", "500"), usual=("50", "320"), offered=PRESSURES),
    when=ON_SCUBA,
)

RESERVE = Question(
    "dive.gas.reserve",
    "quantity",
    "Pressure kept in reserve",
    hint="The diver is back at the surface with this much left.",
    scale=Scale("bar", possible=("0", "500"), usual=("30", "100"), offered=PRESSURES),
    when=ON_SCUBA,
)

EMERGENCY_PLAN = Question(
    "support.emergency_plan",
    "choice",
    "Is there an emergency plan for this place?",
    hint="Who calls, who comes, which way in.",
    choices=YES_NO,
)

CARE = Question(
    "support.care_minutes",
    "quantity",
    "Minutes to definitive care",
    hint="From the call until the hospital's door.",
    scale=Scale("min", possible=("0", "1440"), usual=("5", "180"), offered=MINUTES),
)

CHAMBER = Question(
    "support.chamber_minutes",
    "quantity",
    "Minutes to a chamber that is open",
    hint="Somebody has called them today.",
    scale=Scale("min", possible=("0", "2880"), usual=("5", "360"), offered=MINUTES),
)

VEHICLE = Question("vehicle", "vehicle", "Which vehicle is here?", hint="Its limits come from the agency's kit list.")

VEHICLE_AVAILABLE = Question(
    "vehicle.available",
    "choice",
    "Can it go in now?",
    hint="Charged, tested, and it can be launched and recovered here.",
    choices=YES_NO,
    when=("vehicle", ("*",)),
)

VEHICLE_TIME = Question(
    "vehicle.minutes_to_target",
    "quantity",
    "Minutes until it is at the target",
    hint="Launch and transit.",
    scale=Scale("min", possible=("0", "600"), usual=("1", "60"), offered=MINUTES),
    when=("vehicle", ("*",)),
)


def _alone(name: str, section: str, why: str, question: Question) -> Screen:
    return Screen(name, section, question.label, why, (question,))


SCREENS = (
    _alone(
        "breathing",
        "Dive",
        "It decides the limits for current and depth and what happens when the gas fails.",
        BREATHING,
    ),
    Screen(
        "line",
        "Dive",
        "How is the diver held and heard?",
        "In published investigations more fatal dives lacked a line, a voice or a ready role than had bad water.",
        (LINE, VOICE),
    ),
    Screen(
        "ready",
        "Dive",
        "Kit, recall and plan",
        "Each of these reads harmless until it kills.",
        (KIT, RECALL, PLAN),
    ),
    _alone("cold-gear", "Dive", "Gear that freezes gives no gas, or gives all of it.", COLD_GEAR),
    _alone("bottom-time", "Dive", "Gas and the time without stops are worked out for it.", BOTTOM_TIME),
    _alone("cylinders", "Dive", "How long a diver can breathe at this depth follows from it.", CYLINDERS),
    _alone("pressure-now", "Dive", "How long a diver can breathe at this depth follows from it.", PRESSURE),
    _alone("reserve", "Dive", "Gas for the way back is not gas for the task.", RESERVE),
)

SUPPORT_SCREENS = (
    _alone("emergency-plan", "Support", "When it goes wrong nobody has time to find out whom to call.", EMERGENCY_PLAN),
    _alone("care", "Support", "The same accident is survived near a hospital and not far from one.", CARE),
    _alone("chamber", "Support", "Deep or long dives need a chamber within reach.", CHAMBER),
)

VEHICLE_SCREENS = (
    _alone("vehicle", "Vehicle", "It can look first, if it can hold station here.", VEHICLE),
    Screen(
        "vehicle-ready",
        "Vehicle",
        "Is the vehicle ready?",
        "A vehicle that cannot work in these conditions wastes the slack water that the divers need.",
        (VEHICLE_AVAILABLE, VEHICLE_TIME),
    ),
)
