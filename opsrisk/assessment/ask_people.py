"""Questions about people: roles, not heads. Each position by name and by four states."""

from opsrisk.assessment.question import Question, Screen

WHY = "Plenty of people on the bank is not a standby diver. Each position needs a name, and that person nothing else."

POSITIONS = (
    ("supervisor", "Dive supervisor", "Runs the dive and never dives on it."),
    ("diver", "Diver", "The one who goes in first."),
    ("diver_tender", "Diver's tender", "Holds the diver's line and nothing else."),
    ("standby_diver", "Standby diver", "Dressed, checked, able to go in at once."),
    ("standby_tender", "Standby's tender", "Holds the standby diver's line."),
    ("vehicle_pilot", "Vehicle pilot", "Flies the vehicle."),
    ("tether_handler", "Tether handler", "Pays out and takes in the vehicle's tether."),
    ("medic", "Medic", "Oxygen and first aid, free of other work."),
)

CONDITION = Question(
    "people",
    "condition",
    "How is the crew?",
    hint="Fit to dive today, hours awake, and dives in the last 24 hours.",
)


def _position(name: str, title: str, words: str) -> Screen:
    question = Question(f"positions.{name}", "position", title, hint=words)
    return Screen(f"position-{name.replace('_', '-')}", "People", title, WHY, (question,))


SCREENS = (
    *(_position(*position) for position in POSITIONS),
    Screen(
        "condition",
        "People",
        "How is the crew?",
        "A tired or unfit diver makes every other number worse and shows in none of them.",
        (CONDITION,),
    ),
)
