"""Protocols so small that every situation there is can be looked at, drawn at random, many of them perverse."""

import json
from itertools import pairwise, product
from random import Random
from typing import Any

import numpy as np

from opsrisk.engine.decide import inputs_read
from opsrisk.engine.inputs import INPUTS, Configuration, Quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.protocol import read_protocol
from opsrisk.engine.replay import columns
from opsrisk.engine.rounding import marks
from opsrisk.protocols.shipped import BASELINE

AGENCY = {"kind": "agency"}
# Name, unit, and numbers that rules draw from: few, so that they meet.
QUANTITIES = (
    ("readings.current", "kn", ("0.5", "1.0", "1.5")),
    ("readings.visibility", "ft", ("1", "3", "5")),
    ("computed.vehicle_current_limit", "kn", ("0.5", "1.0")),
)
CATEGORIES = ("hazards.entanglement", "hazards.vessel_traffic", "positions.standby_tender.ready")
COMPARISONS = ("worse_than", "worse_than", "as_bad_as", "as_bad_as", "better_than", "no_worse_than", "is")
EFFECTS = ("missing", "stop_everybody", "stop_divers", "stop_divers", "trigger", "trigger_that_holds", "vehicle_unable")


def small_protocol(seed: int) -> Protocol:
    """A protocol of three to six rules over at most four inputs, a factor or two, and a combination."""
    draw = _Draw(Random(seed))
    document = json.loads(BASELINE.read_text())
    document |= {"rules": draw.rules(), "controls": draw.controls(), "notes": [], "combinations": draw.combinations()}
    document["factors"] = draw.factors()
    for line, value in zip(("divers", "nobody_to_save", "rescue"), draw.lines(), strict=True):
        document["lines"][line]["value"] = value
    return read_protocol(json.dumps(document))


class _Draw:
    def __init__(self, chance: Random) -> None:
        self.chance = chance
        self.quantities = chance.sample(QUANTITIES, 2)
        self.categories = chance.sample(CATEGORIES, 2)

    def rules(self) -> list[dict[str, Any]]:
        number = self.chance.randint(3, 6)
        return [self._entry(f"rule_{place}") | {"effect": self.chance.choice(EFFECTS)} for place in range(number)]

    def controls(self) -> list[dict[str, Any]]:
        return [self._entry("control") | {"owner": "supervisor", "serves": "divers"}]

    def combinations(self) -> list[dict[str, Any]]:
        return [self._entry("together") | {"points": str(self.chance.choice((-3, 0, 5, 20, 40)))}]

    def lines(self) -> list[str]:
        return sorted((str(self.chance.randint(10, 70)) for _ in range(3)), key=int)

    def factors(self) -> list[dict[str, Any]]:
        name, unit, numbers = self.chance.choice(self.quantities)
        item = INPUTS[name]
        ordered = numbers if item.worse == "higher" else numbers[::-1]
        category = self.chance.choice(self.categories)
        return [
            self._factor(name, ordered, 30) | {"unit": unit},
            self._factor(category, INPUTS[category].values, 60),
        ]

    def _factor(self, name: str, values: Any, most: int) -> dict[str, Any]:
        totals = [self.chance.randint(0, most) for _ in values]
        if self.chance.random() < 0.7:
            totals.sort()
        points = [[value, str(total)] for value, total in zip(values, totals, strict=True)]
        return {"id": f"points of {name}", "input": name, "points": points, "source": AGENCY}

    def _entry(self, name: str) -> dict[str, Any]:
        return {"id": name, "text": name, "when": self._condition(2), "source": AGENCY}

    def _condition(self, deep: int) -> dict[str, Any]:
        kind = self.chance.random()
        if deep and kind < 0.5:
            return {self.chance.choice(("all", "any")): [self._condition(deep - 1) for _ in range(2)]}
        if deep and kind < 0.6:
            return {"not": self._condition(deep - 1)}
        return self._limit()

    def _limit(self) -> dict[str, Any]:
        comparison = self.chance.choice(COMPARISONS)
        if self.chance.random() < 0.5:
            name = self.chance.choice(self.categories)
            return {"input": name, comparison: self.chance.choice(INPUTS[name].values)}
        name, unit, numbers = self.chance.choice(self.quantities)
        speeds = [other for other, kind, _ in self.quantities if kind == "kn"]
        if len(speeds) == 2 and unit == "kn" and self.chance.random() < 0.3:
            return {"input": name, comparison: {"input": next(other for other in speeds if other != name)}}
        return {"input": name, comparison: self.chance.choice(numbers), "unit": unit}


def every_situation(protocol: Protocol) -> tuple[dict[str, np.ndarray[Any, Any]], tuple[str, ...], tuple[int, ...]]:
    """All situations that `protocol` can tell apart, as arrays with one axis for each input; the inputs; the shape.

    Along its axis each input goes from harmless to worst. Two quantities of one kind share their values, with
    two different ones in every gap, so that either may be the greater there.
    """
    names = inputs_read(protocol)
    axes = [_axis(protocol, name, names) for name in names]
    rows = [dict(zip(names, values, strict=True)) for values in product(*axes)]
    return columns(protocol, rows), names, tuple(len(axis) for axis in axes)


def _axis(protocol: Protocol, name: str, names: tuple[str, ...]) -> list[float | int]:
    item = INPUTS[name]
    if not isinstance(item, Quantity):
        return list(range(len(item.values)))
    alike = [other for other in names if isinstance(INPUTS[other], Quantity) and INPUTS[other].si == item.si]
    at = sorted({value for other in alike for value in marks(protocol, other)})
    between = [
        low + (high - low) * part for low, high in pairwise(at) for part in ((0.4, 0.6) if alike[1:] else (0.5,))
    ]
    within = [value for value in (*at, *between) if item.lowest <= value <= item.highest]
    return sorted(within, reverse=item.worse == "lower")


def graded(names: tuple[str, ...]) -> list[tuple[int, str]]:
    """Axis and name of each input that has a better and a worse."""
    return [(axis, name) for axis, name in enumerate(names) if not isinstance(INPUTS[name], Configuration)]
