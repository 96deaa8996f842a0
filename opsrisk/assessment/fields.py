"""The fields of the situation document: one table that the reader, the JSON Schema and the tests share."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from opsrisk.engine.inputs import INPUTS, POSITIONS, STATES, YES_NO, graded, quantity
from opsrisk.reference.units import si_unit

HOWS = ("measured", "estimated", "reported", "forecast")
TASKS = ("rescue", "recovery", "evidence", "object", "inspection", "training")


@dataclass(frozen=True)
class Choice:
    values: tuple[str, ...]
    may_be_unknown: bool = True


@dataclass(frozen=True)
class Number:
    lowest: str
    highest: str
    may_be_unknown: bool = True


@dataclass(frozen=True)
class Time:
    nullable: bool = False
    may_be_unknown: bool = False


@dataclass(frozen=True)
class Text:
    longest: int = 200
    may_be_unknown: bool = False


@dataclass(frozen=True)
class Texts:
    most: int = 40
    longest: int = 80
    may_be_unknown: bool = True


@dataclass(frozen=True)
class Group:
    fields: Mapping[str, Any]
    required: tuple[str, ...] = ()
    nullable: bool = False
    may_be_unknown: bool = True


@dataclass(frozen=True)
class Measure:
    """A quantity with its unit; `lowest`..`highest` in SI are what is possible at all."""

    units: tuple[str, ...]
    lowest: float
    highest: float
    may_be_unknown: bool = True
    group: Group = field(init=False)

    def __post_init__(self) -> None:
        amount = Number("-999999999999", "999999999999", may_be_unknown=False)
        value = Number("-999999999999", "999999999999")
        fields = {
            "value": value, "unit": Choice(self.units, may_be_unknown=False), "low": amount, "high": amount,
            "how": Choice(HOWS, may_be_unknown=False), "at": Time(), "by": Text(),
        }  # fmt: skip
        object.__setattr__(self, "group", Group(fields, required=("value", "unit")))

    @property
    def si(self) -> str:
        return si_unit(self.units[0])


@dataclass(frozen=True)
class People:
    person: Group
    most: int = 200
    may_be_unknown: bool = True


def _reading(name: str, prefix: str = "readings") -> Measure:
    item = quantity(f"{prefix}.{name}")
    return Measure(item.units, item.lowest, item.highest)


def _choice(path: str) -> Choice:
    return Choice(graded(path).values)


READINGS = tuple(name.removeprefix("readings.") for name in INPUTS if name.startswith("readings."))
HAZARDS = tuple(name.removeprefix("hazards.") for name in INPUTS if name.startswith("hazards."))
ANSWER = Choice(YES_NO)
VOLUME, PRESSURE = ("L", "ft3"), ("bar", "psi")

SHAPE = Group(
    required=("format", "assessed_at"),
    may_be_unknown=False,
    fields={
        "format": Choice(("opsrisk.situation/1",), may_be_unknown=False),
        "assessed_at": Time(),
        "task": Group(
            {
                "kind": Choice(TASKS),
                "submerged_at": Time(nullable=True, may_be_unknown=True),
                "target": _choice("task.target"),
            }
        ),
        "site": Group(
            {
                "water": Choice(("fresh", "brackish", "salt")),
                "latitude": Number("-90", "90"),
                "longitude": Number("-180", "180"),
                "altitude": Measure(("m", "ft"), -430.0, 6000.0),
                # Optional: the end of the slack window that this assessment relies on, and where it came from.
                "window_ends": Time(may_be_unknown=True),
                "window_source": Text(),
            }
        ),
        "readings": Group({name: _reading(name) for name in READINGS}),
        "hazards": Group({name: _choice(f"hazards.{name}") for name in HAZARDS}),
        "dive": Group(
            {
                "breathing": _choice("dive.breathing"),
                "line": _choice("dive.line"),
                "voice": ANSWER,
                "kit_checked": ANSWER,
                "recall_signal": ANSWER,
                "plan_unchanged": ANSWER,
                # Optional: whether the breathing gear is rated for water below the protocol's cold limit.
                "cold_gear": ANSWER,
                "bottom_time": _reading("bottom_time", "dive"),
                "gas": Group(
                    {
                        "cylinder_volume": Measure(VOLUME, 0.1, 2000.0),
                        "pressure": Measure(PRESSURE, 0.0, 500.0),
                        "reserve": Measure(PRESSURE, 0.0, 500.0),
                    }
                ),
            }
        ),
        "positions": Group({name: Group(dict.fromkeys(STATES, ANSWER) | {"person": Text(80)}) for name in POSITIONS}),
        "people": People(
            Group(
                {
                    "id": Text(80),
                    "name": Text(120),
                    "qualifications": Texts(),  # the positions and grades that this person may fill
                    "fit": ANSWER,
                    "hours_awake": Number("0", "240"),
                    "dives_24h": Number("0", "20"),
                },
                required=("id",),
            )
        ),
        "support": Group(
            {
                "emergency_plan": ANSWER,
                "care_minutes": _reading("care_minutes", "support"),
                "chamber_minutes": _reading("chamber_minutes", "support"),
            }
        ),
        "vehicle": Group(
            {
                "available": ANSWER,
                "depth_rating": _reading("depth_rating", "vehicle"),
                "tether_length": Measure(("m", "ft"), 0.0, 11000.0),
                # Optional: tether that will be out at the target; all of it where nobody says.
                "tether_out": Measure(("m", "ft"), 0.0, 11000.0),
                "thrust": Measure(("N",), 0.0, 100000.0),
                "drag_area": Measure(("m2",), 0.0001, 100.0),
                "tether_diameter": Measure(("mm",), 0.0001, 0.2),
                "imaging_sonar": ANSWER,
                "minutes_to_target": Measure(("min",), 0.0, 10080.0),
                "current_limit": Measure(("kn", "m/s", "ft/s", "km/h"), 0.0, 10.0),
            },
            nullable=True,
        ),
    },
)
