"""How the decision follows from what is printed: eight questions, asked in order, the first yes decides.

The same rules as `engine/decide.py`, in words with this record's numbers, so that a person with a pencil
comes to the same answer. A test does exactly that with nothing but the printed text.
"""

from opsrisk.briefing.sheet.blocks import Block, Row
from opsrisk.briefing.sheet.given import Given
from opsrisk.engine.decide import RULES

HEAD = ("Step", "If", "Then", "Here")
VEHICLE_ONLY = "Vehicle only if the vehicle can, otherwise Hold"


def steps(given: Given) -> Block:
    """The table of the eight steps."""
    lines = given.decision.get("lines") or {}
    score = f"score {given.decision.get('score')}"
    fired = {effect: _fired(given, effect) for effect in ("missing", "stop_everybody", "stop_divers")}
    holds = _fired(given, "trigger_that_holds")
    triggers = _fired(given, "trigger") + holds
    controls = sum(1 for item in given.items("controls") if item.get("serves") == "divers")
    saving, able = _saving(given), _vehicle(given)
    asked = (
        ("anything needed is missing", "Hold", f"missing {fired['missing']}"),
        ("a stop for everybody", "Hold", f"stops {fired['stop_everybody']}"),
        ("a stop for divers", VEHICLE_ONLY, f"stops {fired['stop_divers']}; vehicle {able}"),
        (
            f"nobody to save, and a vehicle-first trigger or a score over {lines.get('nobody_to_save')}",
            "Vehicle first if it can, Hold if it cannot. No vehicle in the kit: Hold over the line or for a trigger "
            "that holds, otherwise Divers with controls",
            f"rescue {saving}; triggers {triggers}, that hold {holds}; {score}; vehicle {able}",
        ),
        (
            f"a rescue, and a score up to {lines.get('rescue')}",
            "Divers with controls",
            f"rescue {saving}; {score}",
        ),
        ("a rescue", VEHICLE_ONLY, f"rescue {saving}; vehicle {able}"),
        (
            f"a score over {lines.get('divers')}, or a control for divers",
            "Divers with controls",
            f"{score}; controls {controls}",
        ),
        ("none of these", "Divers", ""),
    )
    decided = RULES.index(_rule(given)) if _rule(given) in RULES else -1
    rows = tuple(
        Row(cells=(str(place + 1), question, answer, f"{here}. Decided here." if place == decided else here))
        for place, (question, answer, here) in enumerate(asked)
    )
    return Block("steps", "How the decision follows: the first step that holds", rows, "table", head=HEAD)


def _rule(given: Given) -> str:
    return str((given.decision.get("rule") or {}).get("id", ""))


def _fired(given: Given, effect: str) -> int:
    return sum(1 for name in ("stops", "triggers") for item in given.items(name) if item.get("effect") == effect)


def _saving(given: Given) -> str:
    """Whether somebody can still be saved: yes, no, or not known (then the more cautious answer counts)."""
    if "no_gain" in (given.decision.get("flags") or ()):
        return "no"
    task = given.part("task")
    known = task.get("kind") == "rescue" and task.get("submerged_at", "unknown") != "unknown"
    return "yes" if known else "not known"


def _vehicle(given: Given) -> str:
    if "vehicle" not in given.situation or given.situation["vehicle"] == "unknown":
        return "not known"
    if given.situation["vehicle"] is None:
        return "none"
    return "cannot" if given.items("vehicle") else "can"
