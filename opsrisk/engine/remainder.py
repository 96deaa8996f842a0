"""What is left to decide while all but a few inputs stand still.

Margins and the map ask for hundreds of decisions that differ in one or two readings. Every rule and
every point that does not look at those is worked out once; the rest is a small protocol that `decide`
reads like any other and that gives the same answer.
"""

from collections.abc import Collection, Mapping
from dataclasses import replace

from opsrisk.engine.algebra import NUMBERS, Steps
from opsrisk.engine.conditions import AllOf, holds
from opsrisk.engine.parts import Factor, Protocol, Rule
from opsrisk.engine.readings import Value

ALWAYS = AllOf(())


def remainder(protocol: Protocol, at: Mapping[str, Value], moving: Collection[str]) -> Protocol:
    """`protocol` with everything settled but what the inputs in `moving` can change; the others stand at `at`.

    Decision, rule, sum, score and whether the vehicle is able stay the same. Of rules with one effect that can
    no longer change one stands for all, so what fired and the single points are not kept.
    """
    moved = [factor for factor in protocol.factors if factor.input in moving]
    still = [factor for factor in protocol.factors if factor.input not in moving]
    return replace(
        protocol,
        factors=(*moved, *_together(still, at)),
        combinations=_left(protocol, protocol.combinations, at, moving),
        rules=_by_group(_left(protocol, protocol.rules, at, moving)),
        controls=_by_group(_left(protocol, protocol.controls, at, moving)),
        notes=(),
    )


def _left(
    protocol: Protocol, items: tuple[Rule, ...], at: Mapping[str, Value], moving: Collection[str]
) -> tuple[Rule, ...]:
    """Those of `items` that may still change, and those that have fired for good."""
    found = []
    for item in items:
        if not protocol.reads[item.id].isdisjoint(moving):
            found.append(item)
        elif holds(item.when, at, NUMBERS):
            found.append(replace(item, when=ALWAYS))
    return tuple(found)


def _by_group(items: tuple[Rule, ...]) -> tuple[Rule, ...]:
    """Where one rule of an effect (or control of a kind) has fired for good, the others add nothing."""
    settled = {(item.effect, item.serves): item for item in items if item.when is ALWAYS}
    return (*settled.values(), *(item for item in items if (item.effect, item.serves) not in settled))


def _together(still: list[Factor], at: Mapping[str, Value]) -> tuple[Factor, ...]:
    """The points of all factors in `still` as one factor that never changes."""
    if not still:
        return ()
    points = sum(NUMBERS.steps(at[factor.input], factor.steps) for factor in still)
    return (replace(still[0], id="the rest", steps=Steps(1, points, (), (), ())),)
