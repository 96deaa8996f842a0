"""Past operations of the invented county, drawn from a seed: what was asked, found, thought and done."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Any

from opsrisk.physics.station import Station
from opsrisk.review.demo.crew import crew
from opsrisk.review.demo.water import Conditions, conditions

KINDS = (("training", 34), ("recovery", 14), ("evidence", 18), ("object", 14), ("inspection", 10), ("rescue", 10))
TITLES = {
    "training": ("Line search training", "Standby drill", "Night entry training", "Full-face mask training"),
    "recovery": ("Missing swimmer", "Missing angler", "Missing kayaker"),
    "evidence": ("Weapon search", "Safe thrown from the bridge", "Phone and tools search"),
    "object": ("Sunken skiff", "Car in the water, nobody inside", "Lost mooring"),
    "inspection": ("Pier bracing check", "Boat ramp check", "Water intake screen check"),
    "rescue": ("Swimmer under", "Car in the water, driver missing", "Angler over the side"),
}
TASKS_BELOW = (
    "search the marked box",
    "confirm the contact and mark it",
    "attach the lift line",
    "photograph in place",
)
OUTCOMES = (
    ("Found by the vehicle's sonar, confirmed by a diver.", ("vehicle_first",)),
    ("Found by divers on the second sweep.", ("divers", "divers_with_controls")),
    ("Not found; search moved down-current.", ("divers", "divers_with_controls", "vehicle_first", "vehicle_only")),
    ("Held; done two days later in lower water.", ("hold",)),
    ("Handed to the harbour authority.", ("hold", "vehicle_only")),
    ("Task done as briefed.", ("divers", "divers_with_controls", "vehicle_first")),
)


@dataclass(frozen=True)
class PastOperation:
    """One operation before it is assessed: everything but the engine's answer."""

    title: str
    site: str
    kind: str
    called_at: datetime
    situation: dict[str, Any]
    brief: dict[str, str]
    chance: Random  # for what people did after they saw the answer


def draw(county: Mapping[str, Any], station: Station, today: datetime) -> Iterator[PastOperation]:
    """The county's operations before `today`, oldest first; the same for the same seed and day."""
    chance = Random(county["seed"])  # noqa: S311 - a demo must be the same twice
    span = timedelta(days=365 * county["years"])
    moments = sorted(today - span + chance.random() * (span - timedelta(days=2)) for _ in range(county["operations"]))
    for n, moment in enumerate(moments):
        own = Random(f"{county['seed']}/{n}")  # noqa: S311 - seeded on purpose
        called = moment.astimezone(UTC).replace(
            hour=own.randrange(11, 22), minute=own.randrange(60), second=0, microsecond=0
        )
        yield _operation(county, station, called, today, own)


def _operation(
    county: Mapping[str, Any], station: Station, called: datetime, today: datetime, own: Random
) -> PastOperation:
    site = own.choice(county["sites"])
    kind = own.choices([k for k, _ in KINDS], [w for _, w in KINDS])[0]
    if kind == "training" and own.random() < 0.75:
        site = next(s for s in county["sites"] if s["kind"] == "still")
    assessed = called + timedelta(minutes=own.randrange(20, 55) if kind != "rescue" else own.randrange(6, 25))
    water = conditions(site, station, assessed, own.random() ** 3)
    vehicle = county["vehicle"] if (today - called).days < county["vehicle"]["in_kit_since_days"] else None
    positions, people = crew(county["people"], vehicle is not None, own)
    situation = {
        "format": "opsrisk.situation/1",
        "assessed_at": assessed.isoformat(),
        "task": _task(kind, called, own),
        "site": {"water": site["water"], "latitude": site["latitude"], "longitude": site["longitude"]},
        "readings": _readings(water, own),
        "hazards": _hazards(site, water, own),
        "dive": _dive(water, own),
        "positions": positions,
        "people": people,
        "support": _support(own),
        "vehicle": _vehicle(vehicle, water, own),
    }
    brief = {
        "task": f"{own.choice(TASKS_BELOW).capitalize()}.",
        "signals": "One pull: stop. Two: more line. Three: come up. Four or more: trouble, haul up.",
        "recall": "Underwater horn, three long; four pulls on the line.",
        "emergency": "Standby in. Call the ambulance. Get the diver flat, oxygen on. Call the diving physician.",
        "radio": "Team channel 3; county dispatch on 1.",
    }
    return PastOperation(own.choice(TITLES[kind]), site["name"], kind, called, situation, brief, own)


def _task(kind: str, called: datetime, own: Random) -> dict[str, Any]:
    if kind == "rescue":
        under = (called - timedelta(minutes=own.randrange(3, 14))).isoformat() if own.random() < 0.85 else "unknown"
        return {"kind": kind, "submerged_at": under, "target": own.choice(("none_located", "contact", "contact"))}
    targets = {"training": ("not_needed", "confirmed"), "inspection": ("not_needed",)}
    return {
        "kind": kind,
        "submerged_at": None,
        "target": own.choice(targets.get(kind, ("none_located", "contact", "confirmed"))),
    }


def _readings(water: Conditions, own: Random) -> dict[str, Any]:
    """As a team writes them down: in its own units, with how they were had, now and then not at all."""
    found = {
        "current": _reading(water.current_mps / 0.514444, "kn", 1, own, ("measured", "measured", "estimated")),
        "visibility": _reading(water.visibility_m / 0.3048, "ft", 0, own, ("estimated", "measured")),
        "depth": _reading(water.depth_m / 0.3048, "ft", 0, own, ("measured", "reported")),
        "water_temperature": _reading(water.water_c * 1.8 + 32, "F", 0, own, ("measured",)),
        "air_temperature": _reading(water.air_c * 1.8 + 32, "F", 0, own, ("measured", "forecast")),
        "wind_speed": _reading(water.wind_mps / 0.514444, "kn", 0, own, ("estimated", "forecast")),
        "wave_height": _reading(water.wave_m / 0.3048, "ft", 1, own, ("estimated",)),
        "daylight_left": _reading(water.daylight_min, "min", 0, own, ("forecast",)),
    }
    for name in ("current", "visibility", "water_temperature"):
        if own.random() < 0.02:
            found[name] = "unknown"
    if water.ice == "solid":
        found["ice_thickness"] = (
            _reading(own.uniform(3, 9), "in", 0, own, ("measured",)) if own.random() < 0.7 else "unknown"
        )
    return found


def _reading(value: float, unit: str, places: int, own: Random, hows: tuple[str, ...]) -> Any:
    return {
        "value": f"{max(value * own.uniform(0.93, 1.07), 0 if unit != 'F' else value):.{places}f}",
        "unit": unit,
        "how": own.choice(hows),
    }


def _hazards(site: Mapping[str, Any], water: Conditions, own: Random) -> dict[str, str]:
    pick = {
        name: own.choice(site.get(name, ["none"]))
        for name in ("entanglement", "pressure_difference", "contamination", "vessel_traffic")
    }
    overhead = "overhead" if water.ice == "solid" else own.choice(("open", "open", "open", "open", "restricted"))
    lightning = "yes" if water.wind_mps > 11 and own.random() < 0.2 else "no"
    return {**pick, "overhead": overhead, "lightning": lightning, "ice_cover": water.ice}


def _dive(water: Conditions, own: Random) -> dict[str, Any]:
    def mostly(yes: float) -> str:
        return "yes" if own.random() < yes else "no"

    dive: dict[str, Any] = {
        "breathing": own.choice(("scuba", "scuba", "surface_supplied")),
        "line": "tended" if own.random() < 0.99 else "untended",
        "voice": mostly(0.95),
        "kit_checked": mostly(0.93),
        "recall_signal": mostly(0.99),
        "plan_unchanged": mostly(0.98),
        "bottom_time": {"value": str(own.randrange(15, 31, 5)), "unit": "min", "how": "measured"},
    }
    if water.water_c < 6:
        dive["cold_gear"] = mostly(0.96)
    return dive


def _support(own: Random) -> dict[str, Any]:
    care = {"value": str(own.choice((10, 15, 20, 25, 40))), "unit": "min", "how": "reported"}
    chamber = {"value": "70", "unit": "min", "how": "reported"}
    return {"emergency_plan": "yes" if own.random() < 0.995 else "no", "care_minutes": care, "chamber_minutes": chamber}


def _vehicle(kit: Mapping[str, Any] | None, water: Conditions, own: Random) -> dict[str, Any] | None:
    if kit is None:
        return None
    out = min(float(kit["tether_length_m"]), 1.3 * water.depth_m + own.uniform(10, 45))
    return {
        "available": "yes" if own.random() < 0.92 else "no",
        "depth_rating": {"value": kit["depth_rating_m"], "unit": "m"},
        "tether_length": {"value": kit["tether_length_m"], "unit": "m"},
        "tether_out": {"value": f"{out:.0f}", "unit": "m"},
        "thrust": {"value": kit["thrust_n"], "unit": "N"},
        "drag_area": {"value": kit["drag_area_m2"], "unit": "m2"},
        "tether_diameter": {"value": kit["tether_diameter_mm"], "unit": "mm"},
        "imaging_sonar": "yes" if kit["imaging_sonar"] else "no",
    }


def outcome(decision: str, own: Random) -> str:
    """What came of it, by what was done."""
    return own.choice([text for text, decisions in OUTCOMES if decision in decisions])
