"""What a situation and its protocol say, in the form in which computations take it: quantities with their bounds."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Any

from opsrisk.assessment.computations.running import shown
from opsrisk.assessment.situation import Situation
from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.conditions import holds, limits_that_hold
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Fact, values
from opsrisk.reference.units import decimal_string, from_si

Json = dict[str, Any]
CURRENT = "readings.current"
# Depths in feet or metres of sea water count as lengths by the trade's convention (see reference.units).
AS_LENGTH = {"fsw": "ft", "msw": "m"}
PLACES = 2


@dataclass(frozen=True)
class Known:
    """One situation under one protocol, with the facts that the engine decides on."""

    situation: Situation
    protocol: Protocol
    facts: Mapping[str, Fact]

    def reading(self, name: str) -> Json | None:
        """A reading with the bounds that the protocol gives it; None where nobody knows it or it is too old."""
        fact = self.facts.get(name)
        given = self.situation.at(name)
        if fact is None or fact.state != "given" or not isinstance(given, dict):
            return None
        unit = given["unit"]
        low, high = sorted((float(fact.best), float(fact.worst)))
        bounds = {"low": shown(low, unit, PLACES, "down"), "high": shown(high, unit, PLACES, "up")}
        document = {"value": given["value"], "unit": AS_LENGTH.get(unit, unit)}
        same = Fraction(bounds["low"]) == Fraction(bounds["high"]) == Fraction(given["value"])
        return document if same else document | _holding(bounds, given["value"])

    def too_old(self, name: str) -> bool:
        fact = self.facts.get(name)
        return fact is not None and fact.state == "stale"

    def quantity(self, path: str) -> Json | None:
        """A quantity of the situation as it was given, without bounds; None where nobody knows it."""
        given = self.situation.at(path)
        if not isinstance(given, dict) or given.get("value", "unknown") == "unknown":
            return None
        return {"value": given["value"], "unit": given["unit"]}

    def choice(self, path: str) -> str | None:
        return self.situation.choice(path)

    def number(self, path: str) -> str | None:
        """A plain number of the situation, such as a latitude."""
        found = self.situation.at(path)
        return found if isinstance(found, str) and found != "unknown" else None

    def setting(self, name: str, unit: str, places: int = 3) -> Json:
        """A number of the protocol."""
        return {"value": _short(from_si(self.protocol.settings[name], unit, places)), "unit": unit}

    def depth_m(self) -> float | None:
        """The deepest that the target may be."""
        fact = self.facts.get("readings.depth")
        return float(fact.worst) if fact is not None and fact.state == "given" else None

    def dive_minutes(self) -> Json | None:
        """One dive from surface to surface: bottom time and an ascent at 9 m a minute, rounded up."""
        bottom, depth = self.situation.measured("dive.bottom_time"), self.depth_m()
        if bottom is None or depth is None:
            return None
        minutes = ceil(bottom.value + ascent_minutes(depth))
        return {"value": str(minutes), "unit": "min"} if 1 <= minutes <= 600 else None

    def current_limit(self) -> Json | None:
        """The current at which this protocol stops these divers: the least of all that apply here."""
        found = sorted(self._current_limits())
        return {"value": _short(from_si(found[0], "kn", 2)), "unit": "kn"} if found else None

    def _current_limits(self) -> set[float]:
        """Every fixed limit on the current among the stops that would fire in the strongest current."""
        item = INPUTS[CURRENT]
        assert isinstance(item, Quantity)  # noqa: S101 - by the table of inputs
        found: set[float] = set()
        for breathing in self._open("dive.breathing"):
            at = values(self.facts, "worst") | {CURRENT: item.highest, "dive.breathing": breathing}
            for rule in self.protocol.rules:
                if rule.effect.startswith("stop") and holds(rule.when, at, NUMBERS):
                    found |= {
                        limit.value
                        for limit in limits_that_hold(rule.when, at, NUMBERS)
                        if limit.input == CURRENT and isinstance(limit.value, float)
                    }
        return found

    def _open(self, name: str) -> tuple[float, ...]:
        fact = self.facts.get(name)
        if fact is None:
            return (0.0,)
        return tuple(float(one) for one in fact.open) or (float(fact.value),)


def ascent_minutes(depth_m: float) -> float:
    """Minutes up from `depth_m` at 30 ft a minute, the published rate."""
    return depth_m / 9.144


def _holding(bounds: Json, value: str) -> Json:
    """Bounds that hold the value as it was typed."""
    low, high = min(Fraction(bounds["low"]), Fraction(value)), max(Fraction(bounds["high"]), Fraction(value))
    return {"low": _short(decimal_string(low, 6)), "high": _short(decimal_string(high, 6))}


def _short(text: str) -> str:
    """A decimal string without idle zeros."""
    return text.rstrip("0").rstrip(".") if "." in text else text
