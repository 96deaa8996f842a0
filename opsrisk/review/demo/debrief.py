"""What the invented county says after an operation; some are never debriefed, as in life."""

from random import Random

from opsrisk.operations.debrief_actions import Told

DEBRIEFED = 0.85
SURPRISES = (
    "",
    "",
    "Silt rose as soon as the line moved.",
    "The current set in a quarter of an hour before the table said.",
    "A second vessel came through although traffic was stopped.",
    "The vehicle's tether lay across a piling.",
)
NEAR_MISSES = (
    "The diver's line caught on a bolt and came free at the second pull.",
    "The stand-by diver's valve was closed and was found so at the check.",
    "A branch came down with the current and passed within arm's length.",
)


def told(chosen: str, outcome: str, chance: Random) -> Told | None:
    """One debrief that fits what was done and what came of it, or none."""
    if chance.random() > DEBRIEFED:
        return None
    dived = chosen in ("divers", "divers_with_controls") or (chosen == "vehicle_first" and "diver" in outcome)
    vehicle = chosen in ("vehicle_first", "vehicle_only")
    near = chance.choice(NEAR_MISSES) if chance.random() < 0.08 else ""
    return Told(
        happened=outcome,
        surprised=chance.choice(SURPRISES),
        injuries="minor" if dived and chance.random() < 0.03 else "none",
        near_miss="yes" if near else "no",
        near_miss_words=near,
        found_by=_found_by(outcome, chosen),
        looking_back=chance.choices(("right", "too_cautious", "too_bold", "unknown"), (70, 12, 4, 14))[0],
        diver_minutes=_minutes(chance, 12, 70) if dived else "0",
        vehicle_minutes=_minutes(chance, 15, 90) if vehicle else "0",
    )


def _found_by(outcome: str, chosen: str) -> str:
    if "vehicle's sonar" in outcome:
        return "both"
    if "by divers" in outcome:
        return "divers"
    if "Not found" in outcome:
        return "not_found"
    return "vehicle" if chosen == "vehicle_only" else "no_target"


def _minutes(chance: Random, least: int, most: int) -> str:
    return "not known" if chance.random() < 0.05 else str(chance.randrange(least, most))
