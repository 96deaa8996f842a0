"""What the county's supervisors told the plan in their newest operations: an area, a distance, a flat bottom."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from opsrisk.assessment.planning.inputs import FORMAT

Json = Mapping[str, Any]
SEARCH = {
    "length": ("250", "ft"), "width": ("80", "ft"), "vehicle_speed": ("0.5", "kn"), "vehicle_sweep": ("20", "ft"),
    "diver_speed": ("0.2", "kn"), "diver_sweep": ("4", "ft"),
}  # fmt: skip


def plan_inputs(situation: Json, vehicle: Json, station: Json | None) -> dict[str, Any]:
    """The plan's inputs for a past situation; `station` where its place has one."""
    found: dict[str, Any] = {"format": FORMAT, "units": "us", "search_effort": _quantities(SEARCH)}
    if station is not None:
        found["station_windows"] = {"station": station, "divers": "2"}
    depth = situation["readings"].get("depth")
    if isinstance(depth, Mapping) and depth["unit"] == "ft" and depth["value"] != "unknown":
        found["tether_shape"] = _quantities({"distance": ("60", "ft"), "bearing": ("35", "deg")})
        found["sonar_look"] = _look(Decimal(depth["value"])) | {"modes": vehicle["sonar_modes"]}
    return found


def _look(depth_ft: Decimal) -> dict[str, Any]:
    """From a few feet above an even bottom at a target 15 ft away."""
    above = str(max(depth_ft - 4, Decimal(1)))
    given = {
        "sonar_depth": (above, "ft"),
        "target_distance": ("15", "ft"),
        "target_height": ("2", "ft"),
        "target_width": ("5", "ft"),
    }
    bottom = [_quantities({"distance": (at, "ft"), "depth": (str(depth_ft), "ft")}) for at in ("0", "40")]
    return _quantities(given) | {"bottom": bottom}


def _quantities(given: Mapping[str, tuple[str, str]]) -> dict[str, Any]:
    return {name: {"value": value, "unit": unit} for name, (value, unit) in given.items()}
