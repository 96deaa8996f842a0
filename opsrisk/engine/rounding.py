"""Values that a person would have written down: round, in the protocol's own units, exact when read back."""

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from itertools import pairwise
from math import inf, nextafter

from opsrisk.engine.conditions import Limit, limits
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Value
from opsrisk.reference.units import UNITS, from_si, to_si

MOST_PLACES = 5


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


def as_floats(exact: Iterable[Fraction], at: Iterable[float]) -> dict[Fraction, float]:
    """A float for each exact value, in the same order among themselves and to every mark in `at`.

    The nearest floats, unless those of a gap between two marks would touch a mark or one another.
    """
    fixed = {Fraction(mark): mark for mark in at}
    ends = sorted(fixed)
    found = dict(fixed)
    for low, high in pairwise(ends):
        inside = sorted({value for value in exact if low < value < high})
        near = [float(value) for value in inside]
        if any(a >= b for a, b in pairwise([fixed[low], *near, fixed[high]])):
            step = (high - low) / (len(inside) + 1)
            near = [float(low + step * place) for place in range(1, len(inside) + 1)]
        found.update(zip(inside, near, strict=True))
    return found


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


def written(protocol: Protocol, name: str, facts: Mapping[str, Value]) -> Iterator[tuple[Value, ...]]:
    """Values of `name` that a person would write, around everything that `protocol` does with it, ascending.

    First whole numbers, then with one decimal, and so on; at last every way in which `protocol` can treat `name`.
    """
    item = INPUTS[name]
    if isinstance(item, Quantity):
        at, unit = marks(protocol, name, facts), units_of(protocol, name)[0]
        for places in range(MOST_PLACES):
            yield tuple(value for value in _on_grid(at, unit, places) if item.lowest <= value <= item.highest)
        between = [(low + high) / 2 for low, high in pairwise(at) if nextafter(low, inf) != high]
        yield tuple(sorted({*at, *between}))
    else:
        yield tuple(range(len(item.values)))


def _on_grid(values: tuple[float, ...], unit: str, places: int) -> list[float]:
    """The multiples of a decimal step next to each of `values`, and those of them that are multiples themselves."""
    _, _, factor, offset = UNITS[unit]
    step = Fraction(1, 10**places)
    found: set[float] = set()
    for value in values:
        near = round((Fraction(value) - offset) / factor / step)
        found.update(to_si((near + off) * step, unit) for off in (-1, 0, 1))
    return sorted(found)
