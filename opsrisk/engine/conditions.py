"""When a rule fires: limits on readings, joined by all, any and not.

A limit compares one input with a fixed value or with another input, in the direction in which the
input gets worse, so that 'worse than 5 ft' means less for visibility and more for depth.
"""

import operator
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from opsrisk.engine.algebra import Algebra

Facts = Mapping[str, Any]

# comparison in the protocol: (when higher is worse, when lower is worse)
COMPARISONS: dict[str, tuple[Callable[[Any, Any], Any], Callable[[Any, Any], Any]]] = {
    "worse_than": (operator.gt, operator.lt),
    "as_bad_as": (operator.ge, operator.le),
    "better_than": (operator.lt, operator.gt),
    "no_worse_than": (operator.le, operator.ge),
    "is": (operator.eq, operator.eq),
}


@dataclass(frozen=True)
class Limit:
    """One comparison. `value` is the float or category index compared with, or the name of another input."""

    input: str
    comparison: str
    value: float | int | str
    given: str
    unit: str
    compare: Callable[[Any, Any], Any]

    @property
    def names(self) -> tuple[str, ...]:
        """The inputs that are compared: one, or two where the other side is an input too."""
        return (self.input, self.value) if isinstance(self.value, str) else (self.input,)


@dataclass(frozen=True)
class AllOf:
    parts: tuple["Condition", ...]


@dataclass(frozen=True)
class AnyOf:
    parts: tuple["Condition", ...]


@dataclass(frozen=True)
class Not:
    part: "Condition"


Condition = Limit | AllOf | AnyOf | Not


def holds(condition: Condition, facts: Facts, ops: Algebra) -> Any:
    """Whether `condition` holds for `facts`, in the terms of the algebra `ops`."""
    if isinstance(condition, Limit):
        other = facts[condition.value] if isinstance(condition.value, str) else condition.value
        return condition.compare(facts[condition.input], other)
    if isinstance(condition, Not):
        return ops.no(holds(condition.part, facts, ops))
    parts = [holds(part, facts, ops) for part in condition.parts]
    return ops.all_of(parts) if isinstance(condition, AllOf) else ops.any_of(parts)


def limits(condition: Condition) -> Iterator[Limit]:
    """Every limit named in `condition`."""
    if isinstance(condition, Limit):
        yield condition
    elif isinstance(condition, Not):
        yield from limits(condition.part)
    else:
        for part in condition.parts:
            yield from limits(part)


def limits_that_hold(condition: Condition, facts: Facts, ops: Algebra) -> Iterator[Limit]:
    """The limits because of which a condition that holds does hold: the 'why' of a fired rule."""
    if isinstance(condition, Limit):
        if holds(condition, facts, ops):
            yield condition
    elif isinstance(condition, Not):
        yield from limits(condition.part)
    else:
        for part in condition.parts:
            if holds(part, facts, ops):
                yield from limits_that_hold(part, facts, ops)
