"""Our physics against frozen answers of independent programs, one row per computation.

A file in fixtures/oracles is {computation, oracle, version, bounds, cases: [{inputs, expected}]}. To add a
computation: freeze such a file, and add one line to RECOMPUTE that turns `inputs` into the same names as
`expected`. A bound is {"within": number, "kind": "relative" | "absolute", "unit": text}; a list is compared
by the distance between the two points, and a case that expects null for a quantity does not test it.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import dist, inf
from pathlib import Path
from statistics import median
from typing import Any

from opsrisk.operations import time_checks
from opsrisk.physics.absorption import absorption_db_per_km
from opsrisk.physics.cylinder import Cylinder, cooled_pressure_bar, free_gas_l
from opsrisk.physics.line import Line
from opsrisk.physics.tether import hang
from opsrisk.physics.water import (
    SALT_KGPM3,
    SEA_LEVEL_PA,
    altitude_pressure_pa,
    pressure_at_depth_pa,
    sound_speed_mps,
    water_density_kgpm3,
)

Answers = Mapping[str, Any]


def _tether(case: Answers) -> Answers:
    names = ("length_m", "diameter_m", "normal_drag", "tangential_drag", "weight_npm", "stiffness_n")
    shape = hang(
        line=Line(**{name: case[name] for name in names}),
        vehicle_m=tuple(case["vehicle_m"]),
        platform_m=tuple(case["platform_m"]),
        profile=tuple(tuple(row) for row in case["profile"]),
        density_kgpm3=case["density_kgpm3"],
    )
    return {
        "vehicle_tension_n": shape.vehicle_tension_n,
        "platform_tension_n": shape.platform_tension_n,
        "middle_m": shape.points_m[shape.steps // 2],
    }


def _water(case: Answers) -> Answers:
    temperature, salinity = case["temperature_c"], case["salinity"]
    pressure = pressure_at_depth_pa(depth_m=case["depth_m"], density_kgpm3=SALT_KGPM3)
    return {
        "density_kgpm3": water_density_kgpm3(temperature_c=temperature, salinity=salinity),
        "sound_speed_mps": sound_speed_mps(**case),
        "gauge_pa": pressure - SEA_LEVEL_PA,
    }


def _gas(case: Answers) -> Answers:
    cylinder = Cylinder(case["cylinder_l"], case["pressure_bar"], case["temperature_c"])
    return {"free_l": free_gas_l(cylinder), "cooled_bar": cooled_pressure_bar(cylinder, case["cooled_c"])}


RECOMPUTE: dict[str, Callable[[Answers], Answers]] = {
    "tether": _tether,
    "water": _water,
    "absorption": lambda case: {"db_per_km": absorption_db_per_km(**case)},
    "tidal_current": time_checks.tidal_current,
    "tidal_current_event": time_checks.tidal_current_event,
    "equilibrium_argument": time_checks.equilibrium_argument,
    "sun_events": time_checks.sun_events,
    "gas": _gas,
    "atmosphere": lambda case: {"pressure_pa": altitude_pressure_pa(**case)},
}


@dataclass(frozen=True)
class Row:
    """One quantity of one computation over all its cases: errors as fractions or in `unit`, and the bound."""

    computation: str
    quantity: str
    oracle: str
    cases: int
    greatest: float
    median: float
    bound: float
    unit: str

    @property
    def kept(self) -> bool:
        return self.greatest <= self.bound


def read_oracles(folder: Path) -> list[dict[str, Any]]:
    """Every oracle document in `folder` that names a computation and its bounds, in order of file name."""
    documents = [json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("*.json"))]
    return [
        document
        for document in documents
        if isinstance(document, dict) and {"computation", "bounds"} <= document.keys()
    ]


def compare(document: Answers) -> list[Row]:
    """One row per bounded quantity of `document`, recomputed now. KeyError for a computation not in RECOMPUTE."""
    recompute = RECOMPUTE[document["computation"]]
    pairs = [(case["expected"], recompute(case["inputs"])) for case in document["cases"]]
    rows = []
    for quantity, bound in document["bounds"].items():
        errors = [
            _error(expected[quantity], ours[quantity], bound["kind"])
            for expected, ours in pairs
            if expected[quantity] is not None
        ]
        oracle = f"{document['oracle']} {document['version']}".strip()
        rows.append(
            Row(
                computation=document["computation"],
                quantity=quantity,
                oracle=oracle,
                cases=len(errors),
                greatest=max(errors, default=inf),
                median=median(errors or [inf]),
                bound=bound["within"],
                unit=bound.get("unit", ""),
            )
        )
    return rows


def _error(expected: Any, ours: Any, kind: str) -> float:
    if isinstance(expected, list):
        return dist(expected, ours)
    if ours is None or isinstance(expected, str | bool):
        return 0.0 if expected == ours else inf
    away = abs(ours - expected)
    if kind == "absolute":
        return away
    return away / abs(expected) if expected else (0.0 if away == 0 else inf)
