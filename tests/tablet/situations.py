"""Random situations that the reader takes: every field, every choice, every unit, unknowns and gaps."""

import random
from datetime import UTC, datetime, timedelta
from typing import Any

from opsrisk.assessment.fields import SHAPE, Choice, Group, Measure, Number, People, Text, Texts, Time
from opsrisk.reference.units import from_si

ASSESSED = datetime(2026, 11, 25, 14, 5, tzinfo=UTC)
NAMES = ["p1", "p2", "p3", "p4"]
POSITIONS = ["supervisor", "diver", "standby_diver", "diver_tender", "vehicle_pilot"]


def situation(seed: int) -> dict[str, Any]:
    """One situation; equal seeds make equal ones. An ordinary day with up to eight things otherwise, or anything at all."""
    rng = random.Random(seed)
    if seed % 10 == 0:
        document = _group(rng, SHAPE)
    else:
        document = ordinary()
        for _ in range(rng.randrange(9)):
            _change(rng, document, SHAPE)
    return document | {"format": "opsrisk.situation/1", "assessed_at": ASSESSED.isoformat()}


def ordinary() -> dict[str, Any]:
    """A full crew, a working vehicle, quiet water: nothing stops anybody."""
    yes = dict.fromkeys(("filled", "qualified", "ready", "sole_duty"), "yes")
    readings = {
        "current": ("0.2", "kn"), "visibility": ("12", "ft"), "depth": ("24", "ft"), "water_temperature": ("15", "C"),
        "air_temperature": ("18", "C"), "wind_speed": ("5", "kn"), "wave_height": ("0.1", "m"), "daylight_left": ("240", "min"),
    }  # fmt: skip
    measured = {"how": "measured", "at": ASSESSED.isoformat()}
    vehicle = {
        "depth_rating": ("100", "m"), "tether_length": ("120", "m"), "tether_out": ("60", "m"), "thrust": ("60", "N"),
        "drag_area": ("0.09", "m2"), "tether_diameter": ("8", "mm"), "minutes_to_target": ("5", "min"),
    }  # fmt: skip
    return {
        "task": {"kind": "recovery", "submerged_at": None, "target": "confirmed"},
        "site": {"water": "fresh", "latitude": "45.5", "longitude": "-120.25"},
        "readings": {name: {"value": value, "unit": unit, **measured} for name, (value, unit) in readings.items()},
        "hazards": {name: shape.values[0] for name, shape in SHAPE.fields["hazards"].fields.items()},
        "dive": {"breathing": "surface_supplied", "line": "tended", "bottom_time": {"value": "20", "unit": "min"}}
        | dict.fromkeys(("voice", "kit_checked", "recall_signal", "plan_unchanged", "cold_gear"), "yes"),
        "positions": {name: dict(yes) for name in SHAPE.fields["positions"].fields},
        "support": {"emergency_plan": "yes"}
        | {name: {"value": "15", "unit": "min"} for name in ("care_minutes", "chamber_minutes")},
        "vehicle": {name: {"value": value, "unit": unit} for name, (value, unit) in vehicle.items()}
        | {"available": "yes", "imaging_sonar": "yes"},
    }


def _change(rng: random.Random, document: dict[str, Any], shape: Group) -> None:
    """One field, somewhere, as something else: a measurement half of the time, since those are what varies."""
    group = rng.choice(
        [
            "readings",
            "readings",
            "readings",
            *(name for name, field in shape.fields.items() if isinstance(field, Group)),
        ]
    )
    fields = shape.fields[group].fields
    name = rng.choice(list(fields))
    if isinstance(document.get(group), dict):
        document[group][name] = _value(rng, fields[name])


def _group(rng: random.Random, shape: Group) -> Any:
    if shape.nullable and rng.random() < 0.2:
        return None
    return {
        name: _value(rng, field) for name, field in shape.fields.items() if rng.random() < 0.9 or name in shape.required
    }


def _value(rng: random.Random, shape: Any) -> Any:
    if getattr(shape, "may_be_unknown", False) and rng.random() < 0.06:
        return "unknown"
    makers = {
        Group: _group,
        Choice: _choice,
        Measure: _measure,
        Number: _number,
        Time: _time,
        Text: _text,
        Texts: _texts,
        People: _people,
    }
    return makers[type(shape)](rng, shape)


def _choice(rng: random.Random, shape: Choice) -> str:
    # Mostly harmless, as on an ordinary day: otherwise every situation is a hold.
    return shape.values[0] if rng.random() < 0.7 else rng.choice(shape.values)


def _measure(rng: random.Random, shape: Measure) -> dict[str, str]:
    unit = rng.choice(shape.units)
    si = shape.lowest + (shape.highest - shape.lowest) * rng.random() ** 4
    ends = sorted(
        _inside(from_si(min(max(si * k, shape.lowest), shape.highest), unit, 2), unit, shape) for k in (0.8, 1.0, 1.25)
    )
    low, value, high = sorted(ends, key=float)
    found = {"value": value, "unit": unit}
    if rng.random() < 0.3:
        found |= {"low": low, "high": high}
    if rng.random() < 0.7:
        found["how"] = rng.choice(["measured", "estimated", "reported", "forecast"])
    if rng.random() < 0.5:
        found["at"] = _time(rng, Time())
    return found


def _inside(shown: str, unit: str, shape: Measure) -> str:
    """A rounded value may lie just outside the possible range: then the nearest that does not."""
    from opsrisk.reference.units import to_si

    if to_si(shown, unit) > shape.highest:
        return f"{float(shown) - 0.01:.2f}"
    return f"{float(shown) + 0.01:.2f}" if to_si(shown, unit) < shape.lowest else shown


def _number(rng: random.Random, shape: Number) -> str:
    return f"{float(shape.lowest) + (float(shape.highest) - float(shape.lowest)) * rng.random() ** 3:.2f}"


def _time(rng: random.Random, shape: Time) -> str | None:
    if shape.nullable and rng.random() < 0.3:
        return None
    return (ASSESSED - timedelta(seconds=rng.randrange(9000))).isoformat()


def _text(rng: random.Random, shape: Text) -> str:
    return rng.choice(NAMES)


def _texts(rng: random.Random, shape: Texts) -> list[str]:
    return [name for name in POSITIONS if rng.random() < 0.8]


def _people(rng: random.Random, shape: People) -> list[dict[str, Any]]:
    return [_group(rng, shape.person) | {"id": name} for name in NAMES]
