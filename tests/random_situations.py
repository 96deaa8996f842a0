"""Situation documents drawn at random from the table of fields: mostly fair, with unknowns, bounds, ages and people."""

from datetime import timedelta
from random import Random
from typing import Any

from opsrisk.assessment.fields import SHAPE, Choice, Group, Measure, Number, People, Text, Texts, Time
from opsrisk.engine.inputs import POSITIONS
from opsrisk.reference.units import from_si, to_si
from tests.situations import NOW

# Where a reading is likely to lie: unit, harmless, bad. Anything else is drawn from what is possible at all.
LIKELY = {
    "readings.current": ("kn", 0, 2), "readings.visibility": ("ft", 30, 0), "readings.depth": ("ft", 5, 140),
    "readings.water_temperature": ("C", 25, -1), "readings.air_temperature": ("C", 30, -20),
    "readings.wind_speed": ("kn", 0, 35), "readings.wave_height": ("ft", 0, 4),
    "readings.ice_thickness": ("in", 12, 2), "readings.daylight_left": ("min", 400, 0),
    "dive.bottom_time": ("min", 5, 40), "support.care_minutes": ("min", 2, 100),
    "support.chamber_minutes": ("min", 0, 120), "vehicle.depth_rating": ("ft", 400, 50),
    "vehicle.tether_length": ("m", 150, 5), "vehicle.tether_out": ("m", 50, 150), "vehicle.thrust": ("N", 300, 10),
    "vehicle.drag_area": ("m2", 0.05, 1), "vehicle.tether_diameter": ("mm", 4, 15),
    "vehicle.current_limit": ("kn", 4, 0), "vehicle.minutes_to_target": ("min", 1, 40),
    "dive.gas.cylinder_volume": ("L", 24, 10), "dive.gas.pressure": ("bar", 300, 100), "dive.gas.reserve": ("bar", 30, 80),
}  # fmt: skip
NAMES = dict(zip(POSITIONS, ("ada", "bo", "cy", "dee", "eli", "fay", "gil", "hob"), strict=True))


def random_document(chance: Random, known: float = 0.95, fair: float = 0.85) -> dict[str, Any]:
    """One document; each field is known with chance `known`, each category harmless with chance `fair`."""
    draw = _Draw(chance, known, fair)
    made = draw.group(SHAPE, "")
    return made | {"format": "opsrisk.situation/1", "assessed_at": NOW.isoformat()}


class _Draw:
    def __init__(self, chance: Random, known: float, fair: float) -> None:
        self.chance, self.known, self.fair = chance, known, fair

    def group(self, group: Group, path: str) -> dict[str, Any]:
        made = {}
        for name, shape in group.fields.items():
            field = f"{path}.{name}" if path else name
            if self.chance.random() < self.known:
                made[name] = self.value(shape, field)
            elif shape.may_be_unknown and self.chance.random() < 0.5:
                made[name] = "unknown"
        return made

    def value(self, shape: Any, field: str) -> Any:
        if field == "vehicle" and self.chance.random() < 0.4:
            return None
        if field == "people" and self.chance.random() < 0.7:
            return "unknown"
        if isinstance(shape, Group):
            return self.group(shape, field)
        if isinstance(shape, Measure):
            return self.measure(shape, field)
        if isinstance(shape, Choice):
            fair = 1 - (1 - self.fair) / 8 if field.startswith("positions") else self.fair  # eight have four each
            drawn = self.chance.random() >= fair or field == "task.kind"
            return self.chance.choice(shape.values) if drawn else shape.values[0]
        if isinstance(shape, Time):
            minutes = -self.chance.randrange(0, 60) if "window" in field else self.chance.randrange(0, 100)
            return (NOW - timedelta(minutes=minutes)).isoformat()
        if isinstance(shape, Number):
            return str(self.chance.randrange(int(float(shape.lowest)), int(float(shape.highest)) + 1))
        if isinstance(shape, People):
            return [self.person(name) for name in NAMES.values() if self.chance.random() < self.known]
        if isinstance(shape, Texts):
            return self.chance.sample(POSITIONS, 4)
        assert isinstance(shape, Text)
        return NAMES[field.split(".")[1]] if field.startswith("positions") else "Ada Fenn"

    def person(self, name: str) -> dict[str, Any]:
        hours, dives = str(self.chance.randrange(2, 17)), str(self.chance.randrange(0, 3))
        return {"id": name, "qualifications": list(POSITIONS), "hours_awake": hours, "dives_24h": dives} | (
            {"fit": "yes"} if self.chance.random() < self.known else {}
        )

    def measure(self, shape: Measure, field: str) -> dict[str, Any]:
        unit, harmless, bad = LIKELY.get(field) or (shape.si, shape.lowest, shape.highest)
        given = self.chance.choice(shape.units)
        value = to_si(str(round(harmless + (bad - harmless) * self.chance.random() ** 3, 2)), unit)
        value = min(max(value, shape.lowest), shape.highest)
        ends = sorted([value, *(value * self.chance.uniform(0.7, 1.4) for _ in range(2))])
        made: dict[str, Any] = {"value": from_si(value, given, 2), "unit": given}
        if self.chance.random() < 0.8:
            made["how"] = self.chance.choice(("measured", "estimated", "reported", "forecast"))
        if self.chance.random() < 0.3:
            made["at"] = (NOW - timedelta(minutes=self.chance.randrange(0, 80))).isoformat()
        if self.chance.random() < 0.2 and shape.lowest <= ends[0] <= value <= ends[2] <= shape.highest:
            made |= {"low": from_si(ends[0], given, 2), "high": from_si(ends[2], given, 2)}
        return made
