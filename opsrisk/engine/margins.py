"""How sure the answer is: both ends of all bounds, the values at which it changes, and the map of it.

Points and limits change only at thresholds that the protocol names, so margins are exact: each
candidate is a threshold, tried at it and just beyond it. Nothing is sampled or searched for.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise, product
from math import inf, nextafter

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.conditions import limits
from opsrisk.engine.decide import Outcome, decide
from opsrisk.engine.inputs import INPUTS, Configuration, Quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Fact, Value, values

Facts = Mapping[str, Fact]


@dataclass(frozen=True)
class Flip:
    """All else equal, `input` at `value` (or just beyond it) makes the decision `decision`."""

    input: str
    direction: str  # worse or better
    value: Value
    beyond: bool
    decision: int


@dataclass(frozen=True)
class DecisionMap:
    """Decisions over two readings: `cells[j][i]` holds between x_edges[i] and [i+1] and y_edges[j] and [j+1]."""

    x: str
    y: str
    x_edges: tuple[float, ...]
    y_edges: tuple[float, ...]
    cells: tuple[tuple[int, ...], ...]


def decide_on(protocol: Protocol, at: Mapping[str, Value], facts: Facts, *, cautious: bool = True) -> Outcome:
    """The decision at one end, over every value of a configuration that nobody stated.

    The most cautious of them, or with `cautious` false the least cautious.
    """
    open_names = [name for name, fact in facts.items() if fact.open]
    if not open_names:
        return decide(protocol, at, NUMBERS)
    choices = product(*(facts[name].open for name in open_names))
    outcomes = [decide(protocol, {**at, **dict(zip(open_names, choice, strict=True))}, NUMBERS) for choice in choices]
    pick = max if cautious else min
    return pick(outcomes, key=lambda outcome: (outcome.decision, outcome.score))


def best_and_worst(protocol: Protocol, facts: Facts) -> tuple[Outcome, Outcome]:
    """Both ends of all bounds. A proven protocol is monotone, so no other corner lies outside them.

    That is proven within each configuration only: where the bounds leave one open (the survival window may or
    may not have closed) both of its values are tried at both ends.
    """
    facts = {name: _opened(fact) for name, fact in facts.items()}
    best = decide_on(protocol, values(facts, "best"), facts, cautious=False)
    return best, decide_on(protocol, values(facts, "worst"), facts)


def _opened(fact: Fact) -> Fact:
    """A configuration that its bounds leave open, with both values to consider."""
    if fact.best == fact.worst or fact.open or not isinstance(INPUTS[fact.name], Configuration):
        return fact
    return replace(fact, open=(int(fact.best), int(fact.worst)))


def settles(protocol: Protocol, facts: Facts) -> str | None:
    """The one reading whose better measurement moves the ends of the decision furthest together."""
    at_best, at_worst = values(facts, "best"), values(facts, "worst")
    best, worst = (decide_on(protocol, at, facts).decision for at in (at_best, at_worst))
    closest: tuple[int, str | None] = (0, None)
    for name, fact in facts.items():
        if fact.best == fact.worst:
            continue
        eased = decide_on(protocol, {**at_worst, name: fact.best}, facts).decision
        worsened = decide_on(protocol, {**at_best, name: fact.worst}, facts).decision
        moved = (worst - eased) + (worsened - best)
        if moved > closest[0]:
            closest = (moved, name)
    return closest[1]


def flips(protocol: Protocol, facts: Facts, decision: int) -> Iterator[Flip]:
    """For each input that applies, the nearest value each way at which the decision changes."""
    at = values(facts, "value")
    for name, fact in facts.items():
        # A position or a yes/no has one step only, and its rule says it; margins are for what is measured or graded.
        if fact.state == "not_applicable" or isinstance(INPUTS[name], Configuration) or _is_yes_or_no(name):
            continue
        for direction in ("worse", "better"):
            for value, beyond, tried in _candidates(protocol, facts, name, direction):
                found = decide_on(protocol, {**at, name: tried}, facts).decision
                if found != decision:
                    yield Flip(name, direction, value, beyond, found)
                    break


def _is_yes_or_no(name: str) -> bool:
    item = INPUTS[name]
    return not isinstance(item, Quantity) and len(item.values) == 2


def _candidates(protocol: Protocol, facts: Facts, name: str, direction: str) -> Iterator[tuple[Value, bool, Value]]:
    """Thresholds of `name` beyond its value in `direction`, nearest first: (threshold, beyond it?, value to try)."""
    item, now = INPUTS[name], facts[name].value
    if not isinstance(item, Quantity):
        places = range(int(now) + 1, len(item.values)) if direction == "worse" else range(int(now) - 1, -1, -1)
        yield from ((place, False, place) for place in places)
        return
    upward = (item.worse == "higher") == (direction == "worse")
    rule = protocol.inputs[name]
    end = rule.highest if upward else rule.lowest
    for threshold in sorted(thresholds(protocol, facts, name), reverse=not upward):
        if (threshold > now) if upward else (threshold < now):
            yield threshold, False, threshold
        if threshold == now or ((threshold > now) == upward and threshold != end):
            yield threshold, True, nextafter(threshold, inf if upward else -inf)


def thresholds(protocol: Protocol, facts: Facts, name: str) -> set[float]:
    """Where `name` can change anything: the protocol's numbers, and readings that it is compared with."""
    found = set(protocol.thresholds.get(name, ()))
    for item in (*protocol.rules, *protocol.combinations, *protocol.controls):
        for limit in limits(item.when):
            if isinstance(limit.value, str) and name in (limit.input, limit.value):
                other = limit.value if limit.input == name else limit.input
                found.add(float(facts[other].value))
    rule = protocol.inputs[name]
    return {threshold for threshold in found if rule.lowest <= threshold <= rule.highest}


def decision_map(protocol: Protocol, facts: Facts, x: str, y: str) -> DecisionMap:
    """Regions of the decision over readings `x` and `y`, all else equal, with their exact edges.

    Edges where nothing changes are left out, so a simple protocol draws few rectangles.
    """
    at = values(facts, "value")
    x_edges, y_edges = (_edges(protocol, facts, name) for name in (x, y))
    rows = []
    for low, high in pairwise(y_edges):
        row = []
        for left, right in pairwise(x_edges):
            here = {**at, x: (left + right) / 2, y: (low + high) / 2}
            row.append(decide_on(protocol, here, facts).decision)
        rows.append(tuple(row))
    keep_y = [0, *(j for j in range(1, len(rows)) if rows[j] != rows[j - 1])]
    columns = list(zip(*rows, strict=True))
    keep_x = [0, *(i for i in range(1, len(columns)) if columns[i] != columns[i - 1])]
    return DecisionMap(
        x,
        y,
        (*(x_edges[i] for i in keep_x), x_edges[-1]),
        (*(y_edges[j] for j in keep_y), y_edges[-1]),
        tuple(tuple(rows[j][i] for i in keep_x) for j in keep_y),
    )


def _edges(protocol: Protocol, facts: Facts, name: str) -> tuple[float, ...]:
    """From the harmless end to a little beyond the last threshold and the worst of the reading."""
    rule, fact = protocol.inputs[name], facts[name]
    inner = thresholds(protocol, facts, name)
    seen = [fact.best, fact.value, fact.worst] if fact.state == "given" else []
    end = min(rule.highest, max([*inner, *seen, rule.lowest]) * 1.15 or rule.highest)
    return tuple(sorted({rule.lowest, end, *(edge for edge in inner if rule.lowest < edge < end)}))
