"""A set of answers as the tablet keeps them, for tests that begin after the questions."""

from datetime import UTC, datetime
from typing import Any

from tests.cast import Cast

YES = {"filled": "yes", "qualified": "yes", "ready": "yes", "sole_duty": "yes"}
OTHERS = ("diver_tender", "standby_tender", "vehicle_pilot", "tether_handler", "medic")


def reading(value: str, unit: str, **more: str) -> dict[str, str]:
    now = datetime.now(UTC).isoformat(timespec="seconds")
    return {"value": value, "unit": unit, "typed": value, "how": "measured", "at": now} | more


def quantity(value: str, unit: str = "min") -> dict[str, str]:
    return {"value": value, "unit": unit, "typed": value}


def answers(county: Cast, **changes: Any) -> dict[str, Any]:
    """A recovery of a confirmed target in quiet water by a full crew; `changes` name fields with __ for the dot."""
    found = {
        "task.kind": "recovery", "task.submerged_at": "unknown", "task.target": "confirmed",
        "site": {"site": str(county.site.pk), "place": ""}, "site.water": "fresh",
        "readings.current": reading("0.2", "kn"), "readings.visibility": reading("12", "ft"), "readings.depth": reading("24", "ft"),
        "readings.water_temperature": reading("60", "F"), "readings.air_temperature": reading("64", "F"),
        "readings.wind_speed": reading("5", "kn"), "readings.wave_height": reading("0.3", "ft"), "readings.daylight_left": reading("240", "min"),
        "hazards.entanglement": "none", "hazards.overhead": "open", "hazards.pressure_difference": "none",
        "hazards.contamination": "none", "hazards.vessel_traffic": "none", "hazards.lightning": "no", "hazards.ice_cover": "none",
        "dive.breathing": "surface_supplied", "dive.line": "tended", "dive.voice": "yes", "dive.kit_checked": "yes",
        "dive.recall_signal": "yes", "dive.plan_unchanged": "yes", "dive.cold_gear": "yes", "dive.bottom_time": quantity("20"),
        "positions.supervisor": YES | {"person": str(county.supervisor.pk)},
        "positions.diver": YES | {"person": str(county.diver.pk)},
        "positions.standby_diver": YES | {"person": str(county.deputy.pk)},
        **{f"positions.{name}": YES | {"person": f"guest-{name}"} for name in OTHERS},
        "people": {
            who: {"fit": "yes", "hours_awake": "8", "dives_24h": "0"}
            for who in (
                str(county.supervisor.pk), str(county.diver.pk), str(county.deputy.pk), "guest-diver_tender", "guest-standby_tender",
            )
        },
        "support.emergency_plan": "yes", "support.care_minutes": quantity("15"), "support.chamber_minutes": quantity("60"),
        "vehicle": {"vehicle": str(county.vehicle.pk)}, "vehicle.available": "yes", "vehicle.minutes_to_target": quantity("5"),
    }  # fmt: skip
    return found | {name.replace("__", "."): value for name, value in changes.items()}
