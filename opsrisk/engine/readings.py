"""What is known of one input, with its bounds; unknown becomes the worst.

A `Fact` carries three values on the scale of its input: the value itself, and the most harmless and
the worst that its bounds allow. `decide` is asked with one of the three for all inputs at once.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from opsrisk.engine.inputs import INPUTS, Category, Configuration, Quantity
from opsrisk.engine.parts import InputRule

Value = float | int

ENDS = ("value", "best", "worst")


@dataclass(frozen=True)
class Switch:
    """A configuration that a reading decides: `upto` at or below the threshold `at`, `beyond` above it."""

    reading: str
    at: float
    upto: int
    beyond: int

    def side(self, value: Value) -> int:
        return self.upto if value <= self.at else self.beyond


@dataclass(frozen=True)
class Fact:
    """One input as the situation shows it.

    `state` is given, unknown, stale or not_applicable. `shown` is what a person reads: '0.8 kn'.
    For a configuration nobody stated, `open` lists the values that must all be considered.
    `of` names the readings that a computed fact comes from: measuring those better is what settles it.
    """

    name: str
    value: Value
    best: Value
    worst: Value
    state: str
    shown: str
    waiver: str = ""
    open: tuple[int, ...] = ()
    of: tuple[str, ...] = ()
    switch: Switch | None = None


def values(facts: Mapping[str, Fact], end: str) -> dict[str, Value]:
    """The value of every fact at one end: 'value', 'best' or 'worst'."""
    return {name: getattr(fact, end) for name, fact in facts.items()}


@dataclass(frozen=True)
class Taken:
    """A quantity as it was taken (SI), with its own bounds where somebody gave them."""

    value: float
    low: float | None
    high: float | None
    how: str
    shown: str


def given_quantity(item: Quantity, taken: Taken, rule: InputRule | None) -> Fact:
    """A quantity with its own bounds, or the protocol's spread for the way it was had.

    One that does not say how it was had is taken as reported, the widest way.
    """
    least, most = (rule.lowest, rule.highest) if rule else (item.lowest, item.highest)
    spread = rule.spreads.get(taken.how or "reported") if rule else None
    exact = Fraction(taken.value)
    off = max(spread.plus_minus, spread.relative * abs(exact)) if spread else Fraction(0)
    low = max(least, float(exact - off)) if taken.low is None else taken.low
    high = min(most, float(exact + off)) if taken.high is None else taken.high
    low, high = min(low, taken.value), max(high, taken.value)
    best, worst = (low, high) if item.worse == "higher" else (high, low)
    return Fact(item.name, taken.value, best, worst, "given", taken.shown)


def unknown_quantity(item: Quantity, rule: InputRule | None, state: str, shown: str) -> Fact:
    """A quantity that nobody knows: the worst value of the protocol's domain, or what a waiver says instead.

    A waiver is for what nobody has measured yet; a reading that has become too old is its worst (ice that was
    measured thin this morning must not come out thicker than it was).
    """
    least, most = (rule.lowest, rule.highest) if rule else (item.lowest, item.highest)
    best, worst = (least, most) if item.worse == "higher" else (most, least)
    if rule and rule.assumed is not None and state == "unknown":
        return Fact(item.name, rule.assumed, best, rule.assumed, state, shown, waiver=rule.waiver or "")
    return Fact(item.name, worst, best, worst, state, shown)


def given_choice(item: Category | Configuration, value: str, shown: str = "") -> Fact:
    place = item.values.index(value)
    return Fact(item.name, place, place, place, "given", shown or value.replace("_", " "))


def unknown_choice(item: Category | Configuration) -> Fact:
    """A category that nobody knows is its worst value; a configuration that nobody stated stays open."""
    last = len(item.values) - 1
    if isinstance(item, Configuration):
        return Fact(item.name, last, 0, last, "unknown", "not known", open=tuple(range(len(item.values))))
    return Fact(item.name, last, 0, last, "unknown", "not known")


def not_applicable(name: str) -> Fact:
    """An input that has no meaning here (ice thickness on open water): its harmless end."""
    item = INPUTS[name]
    if isinstance(item, Quantity):
        best = item.lowest if item.worse == "higher" else item.highest
        return Fact(name, best, best, best, "not_applicable", "does not apply")
    return Fact(name, 0, 0, 0, "not_applicable", "does not apply")
