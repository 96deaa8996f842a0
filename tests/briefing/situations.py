"""Situations drawn at random, from harmless to hopeless, many of them with something not known."""

import copy

from tests.briefing.records import situation

CHOICES = {
    "task.target": ("not_needed", "confirmed", "contact", "none_located"),
    "hazards.entanglement": ("none", "none", "light", "moderate", "severe"),
    "hazards.overhead": ("open", "open", "open", "restricted", "overhead"),
    "hazards.pressure_difference": ("none", "none", "none", "isolated", "possible", "uncontrolled"),
    "hazards.contamination": ("none", "low", "moderate", "high", "extreme"),
    "hazards.vessel_traffic": ("none", "none", "controlled", "uncontrolled"),
    "hazards.lightning": ("no", "no", "no", "no", "yes"),
    "hazards.ice_cover": ("none", "none", "none", "broken", "solid"),
    "dive.breathing": ("scuba", "surface_supplied"),
    "dive.line": ("tended", "tended", "tended", "untended"),
    "dive.voice": ("yes", "yes", "no"),
}
QUANTITIES = {
    "current": ("kn", (0, 0.2, 0.4, 0.6, 0.9, 1.2, 1.6)),
    "visibility": ("ft", (0, 1, 4, 6, 20)),
    "depth": ("ft", (8, 20, 40, 70, 110, 140)),
    "water_temperature": ("C", (1, 4, 9, 18, 22)),
    "wave_height": ("m", (0, 0.2, 0.8, 1.2)),
}


def drawn(rng):
    """A situation with random answers; about one in ten is not known, and one in eight is a rescue."""
    of = copy.deepcopy(situation())
    of["task"]["kind"] = rng.choice(
        ("rescue", "recovery", "evidence", "object", "training", "training", "inspection", "unknown")
    )
    of["task"]["submerged_at"] = "2026-11-25T13:50:00-05:00" if of["task"]["kind"] == "rescue" else None
    calm = rng.random() < 0.4  # most of the random ones are hopeless; these are not
    for path, values in CHOICES.items():
        group, name = path.split(".")
        of[group][name] = values[0] if calm and rng.random() < 0.8 else rng.choice((*values, "unknown"))
    for name, (unit, values) in QUANTITIES.items():
        value = rng.choice(values[: len(values) // 2 + 1]) if calm else rng.choice(values)
        if calm and name in ("visibility", "water_temperature"):
            value = values[-1]
        of["readings"][name] = {"value": str(value), "unit": unit, "how": rng.choice(("measured", "estimated"))}
    if rng.random() < 0.15:
        name = rng.choice(tuple(QUANTITIES))
        of["readings"][name] = {"value": "unknown", "unit": QUANTITIES[name][0]}
    for entry in of["positions"].values():
        if rng.random() < 0.03:
            entry[rng.choice(("filled", "qualified", "ready", "sole_duty"))] = "no"
    of["vehicle"] = rng.choice((of["vehicle"], of["vehicle"], None, "unknown"))
    return of
