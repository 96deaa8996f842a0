"""Values that a person would have written down: round, in the protocol's own units, exact when read back."""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor, inf, nextafter

from opsrisk.engine.conditions import Limit, limits
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Value
from opsrisk.reference.units import UNITS, from_si, to_si

MOST_PLACES = 9


def best_of(name: str) -> Value:
    """The most harmless value of `name`; the first one of a configuration."""
    item = INPUTS[name]
    if not isinstance(item, Quantity):
        return 0
    return item.lowest if item.worse == "higher" else item.highest


def limits_on(protocol: Protocol, name: str) -> Iterator[Limit]:
    """Every limit that compares `name`, alone or with another input."""
    for rule in (*protocol.rules, *protocol.combinations, *protocol.controls, *protocol.notes):
        yield from (limit for limit in limits(rule.when) if name in limit.names)


def marks(protocol: Protocol, name: str, facts: Mapping[str, Value] | None = None) -> tuple[float, ...]:
    """Every value within the range of the quantity `name` at which something may change, ascending, with both ends.

    With `facts`, also the values of the inputs that it is compared with.
    """
    item = INPUTS[name]
    assert isinstance(item, Quantity)  # noqa: S101 - asked of quantities only
    found = {item.lowest, item.highest}
    for limit in limits_on(protocol, name):
        if not isinstance(limit.value, str):
            found.add(float(limit.value))
        elif facts is not None:
            found.add(float(facts[limit.value if limit.input == name else limit.input]))
    for factor in protocol.factors:
        if factor.input == name:
            found |= {factor.steps.sign * threshold for threshold in factor.steps.thresholds}
    return tuple(sorted(value for value in found if item.lowest <= value <= item.highest))


def neighbours(values: tuple[float, ...]) -> Iterator[tuple[float, float]]:
    """Marks with no float between them: no reading can lie there."""
    return ((low, high) for low, high in pairwise(values) if nextafter(low, inf) == high)


def units_of(protocol: Protocol, name: str) -> tuple[str, ...]:
    """Units for `name`, the protocol's own first: as its domain, its limits and its points are written."""
    declared = protocol.document.get("inputs", {}).get(name, {}).get("unit")
    written = [limit.unit for limit in limits_on(protocol, name) if not isinstance(limit.value, str)]
    written += [factor.unit for factor in protocol.factors if factor.input == name]
    item = INPUTS[name]
    usual = item.units if isinstance(item, Quantity) else ()
    return tuple(dict.fromkeys(unit for unit in (declared, *written, *usual) if unit is not None and unit in UNITS))


def shown(protocol: Protocol, name: str, value: Value) -> str:
    """`value` as a person writes it: the shortest decimal that reads back to the very same number."""
    item = INPUTS[name]
    if not isinstance(item, Quantity):
        return item.values[int(value)].replace("_", " ")
    units = units_of(protocol, name)
    for places in range(MOST_PLACES):
        for unit in units:
            text = from_si(value, unit, places)
            if to_si(text, unit) == value:
                return f"{text} {unit}".strip()
    return f"about {from_si(value, units[0], item.places)} {units[0]}".strip()


def round_value(low: float, high: float, unit: str) -> float:
    """The value strictly between `low` and `high` with the fewest decimals in `unit`; their middle if none is short.

    >>> round_value(to_si("1.0", "kn"), to_si("1.5", "kn"), "kn") == to_si("1.2", "kn")
    True
    """
    _, _, factor, offset = UNITS[unit]
    least, most = ((Fraction(end) - offset) / factor for end in (low, high))
    for places in range(-3, MOST_PLACES):
        step = Fraction(10) ** -places
        first, last = floor(least / step) + 1, ceil(most / step) - 1
        if first <= last:
            value = to_si((first + last) // 2 * step, unit)
            if low < value < high:
                return value
    return (low + high) / 2


def representatives(protocol: Protocol, name: str, facts: Mapping[str, Value]) -> tuple[Value, ...]:
    """One value of `name` for every way in which `protocol` can treat it: its marks, and one between each two."""
    item = INPUTS[name]
    if not isinstance(item, Quantity):
        return tuple(range(len(item.values)))
    at, unit = marks(protocol, name, facts), units_of(protocol, name)[0]
    between = [round_value(low, high, unit) for low, high in pairwise(at) if nextafter(low, inf) != high]
    return tuple(sorted({*at, *between}))
