"""The parts of a protocol as frozen objects: what `decide` reads."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Any

from opsrisk.engine.algebra import Steps
from opsrisk.engine.conditions import Condition, limits
from opsrisk.engine.inputs import INPUTS, Quantity

EFFECTS = ("missing", "stop_everybody", "stop_divers", "trigger", "trigger_that_holds", "vehicle_unable")

# Numbers that computations take from the protocol before the engine decides, and the unit that each is kept in.
SETTINGS = {
    "submersion_cold_water": "C",
    "submersion_warm_minutes": "min",
    "submersion_cold_minutes": "min",
    "tether_slack": "",
    "tether_reach_ratio": "",
    "tether_normal_drag": "",
    "gas_rate": "L",
    "gas_ascent_minutes": "min",
}


@dataclass(frozen=True)
class Source:
    kind: str  # published, practice or agency
    document: str
    where: str
    status: str  # read, second-hand or memory; '' where nothing was published
    note: str

    @property
    def words(self) -> str:
        if self.kind == "practice":
            return "common practice"
        if self.kind == "agency":
            return "agency's choice"
        return f"{self.document}, {self.where}" if self.where else self.document


@dataclass(frozen=True)
class Spread:
    """How far a reading taken in one way may be off: the larger of `plus_minus` (SI) and `relative`."""

    plus_minus: Fraction
    relative: Fraction


@dataclass(frozen=True)
class InputRule:
    """What the protocol says of one quantity: domain, spreads by method, minutes that a reading holds."""

    name: str
    lowest: float
    highest: float
    spreads: Mapping[str, Spread]
    valid_minutes: int | None
    assumed: float | int | None  # instead of the worst value, under a waiver
    waiver: str | None
    source: Source


@dataclass(frozen=True)
class Factor:
    id: str
    input: str
    unit: str
    breakpoints: tuple[tuple[str, int], ...]
    steps: Steps
    source: Source


@dataclass(frozen=True)
class Rule:
    """A rule, combination, control or note: what fires when. Unused fields stay empty."""

    id: str
    when: Condition
    text: str
    source: Source
    effect: str = ""
    absolute: bool = False
    flag: str = ""
    points: int = 0
    owner: str = ""
    serves: str = ""


@dataclass(frozen=True)
class TablesAdopted:
    """Who of the agency compared the no-stop tables with its printed manual, when, and the digest of what was compared.

    `altitude_m` is the highest of the agency's waters: it counts wherever a situation gives none.
    """

    person: str
    on: str
    digest: str
    altitude_m: float
    source: Source


@dataclass(frozen=True, eq=False)  # one document read is one object, so that what follows from it can be kept
class Protocol:
    id: str
    version: str
    title: str
    effective_from: str
    author: str
    line_divers: int
    line_nobody_to_save: int
    line_rescue: int
    line_sources: Mapping[str, Source]
    recheck_minutes: int
    recheck_source: Source
    settings: Mapping[str, float]  # limits that computations use, SI, by name
    inputs: Mapping[str, InputRule]
    factors: tuple[Factor, ...]
    combinations: tuple[Rule, ...]
    rules: tuple[Rule, ...]
    controls: tuple[Rule, ...]
    notes: tuple[Rule, ...]
    waivers: Mapping[str, str]
    not_assessed: tuple[str, ...]
    document: Mapping[str, Any]
    no_stop_adoption: TablesAdopted | None = None

    @cached_property
    def rules_by_effect(self) -> dict[str, tuple[Rule, ...]]:
        return {effect: tuple(rule for rule in self.rules if rule.effect == effect) for effect in EFFECTS}

    @cached_property
    def diver_controls(self) -> tuple[Rule, ...]:
        return tuple(control for control in self.controls if control.serves == "divers")

    @cached_property
    def reads(self) -> dict[str, frozenset[str]]:
        """The inputs that each rule, combination, control and note looks at, by its id."""
        items = (*self.rules, *self.combinations, *self.controls, *self.notes)
        return {item.id: frozenset(name for limit in limits(item.when) for name in limit.names) for item in items}

    @cached_property
    def compared(self) -> dict[str, frozenset[str]]:
        """For each input that a rule, combination or control compares with other inputs: which ones."""
        found: dict[str, set[str]] = {}
        for item in (*self.rules, *self.combinations, *self.controls):
            for limit in limits(item.when):
                for name in limit.names:
                    found.setdefault(name, set()).update(set(limit.names) - {name})
        return {name: frozenset(others) for name, others in found.items()}

    @cached_property
    def inputs_named(self) -> frozenset[str]:
        """Every input that a factor, rule, control or note reads."""
        return frozenset(factor.input for factor in self.factors).union(*self.reads.values())

    @cached_property
    def thresholds(self) -> dict[str, tuple[float, ...]]:
        """For each quantity, every value at which a limit or a point changes, ascending."""
        found: dict[str, set[float]] = {}
        for item in (*self.rules, *self.combinations, *self.controls):
            for limit in limits(item.when):
                if isinstance(limit.value, float):
                    found.setdefault(limit.input, set()).add(limit.value)
        for factor in self.factors:
            if isinstance(INPUTS[factor.input], Quantity):
                found.setdefault(factor.input, set()).update(t * factor.steps.sign for t in factor.steps.thresholds)
        return {name: tuple(sorted(values)) for name, values in found.items()}
