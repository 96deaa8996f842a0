"""How sure the answer is: both ends of all bounds, the values at which it changes, and the map of it.

Points and limits change only at thresholds that the protocol names, so margins are exact: each
candidate is a threshold, tried at it and just beyond it. Nothing is sampled or searched for.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise, product
from math import inf, nextafter

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import Outcome, decide
from opsrisk.engine.inputs import INPUTS, Configuration, Quantity
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Fact, Value, values
from opsrisk.engine.remainder import remainder

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


Choices = Mapping[str, tuple[int, ...]]


def unstated(facts: Facts) -> dict[str, tuple[int, ...]]:
    """Configurations that nobody stated: each value must be considered."""
    return {name: fact.open for name, fact in facts.items() if fact.open}


def undecided(facts: Facts) -> dict[str, tuple[int, ...]]:
    """Those, and configurations that hang on a reading whose bounds allow both values (is this still a rescue?)."""
    torn = {
        name: tuple(sorted({int(fact.best), int(fact.worst)}))
        for name, fact in facts.items()
        if isinstance(INPUTS[name], Configuration) and fact.best != fact.worst
    }
    return torn | unstated(facts)


def decide_on(protocol: Protocol, at: Mapping[str, Value], choices: Choices, *, cautious: bool = True) -> Outcome:
    """The most cautious decision over all `choices`, or with `cautious` false the least cautious."""
    if not choices:
        return decide(protocol, at, NUMBERS)
    outcomes = [
        decide(protocol, {**at, **dict(zip(choices, chosen, strict=True))}, NUMBERS)
        for chosen in product(*choices.values())
    ]
    pick = max if cautious else min
    return pick(outcomes, key=lambda outcome: (outcome.decision, outcome.score))


def best_and_worst(protocol: Protocol, facts: Facts) -> tuple[Outcome, Outcome]:
    """Both ends of all bounds. A proven protocol is monotone, so no other corner lies outside them."""
    choices = undecided(facts)
    best = decide_on(protocol, values(facts, "best"), choices, cautious=False)
    return best, decide_on(protocol, values(facts, "worst"), choices)


def settles(protocol: Protocol, facts: Facts) -> str | None:
    """The one reading that, known exactly as taken, moves the ends of the decision furthest together."""
    best, worst = (outcome.decision for outcome in best_and_worst(protocol, facts))
    closest: tuple[int, str | None] = (0, None)
    for name, fact in facts.items():
        if fact.best == fact.worst or fact.of:
            continue
        known = {
            each: replace(other, best=other.value, worst=other.value, open=())
            for each, other in facts.items()
            if each == name or name in other.of
        }
        lower, upper = (outcome.decision for outcome in best_and_worst(protocol, {**facts, **known}))
        if (moved := (worst - upper) + (lower - best)) > closest[0]:
            closest = (moved, name)
    return closest[1]


def flips(protocol: Protocol, facts: Facts, decision: int) -> Iterator[Flip]:
    """For each input that applies, the nearest value each way at which the decision changes."""
    at, choices = values(facts, "value"), unstated(facts)
    for name, fact in facts.items():
        # A position or a yes/no has one step only, and its rule says it; margins are for what is measured or graded.
        if fact.state == "not_applicable" or isinstance(INPUTS[name], Configuration) or _is_yes_or_no(name):
            continue
        switches = {each: by for each, other in facts.items() if (by := other.switch) and by.reading == name}
        left = remainder(protocol, at, {name, *choices, *switches})
        for direction in ("worse", "better"):
            for value, beyond, tried in _candidates(protocol, facts, name, direction):
                turned = {each: switch.side(tried) for each, switch in switches.items()}
                found = decide_on(left, {**at, name: tried, **turned}, choices).decision
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
        if threshold != end and (threshold == now or (threshold > now) == upward):
            yield threshold, True, nextafter(threshold, inf if upward else -inf)


def thresholds(protocol: Protocol, facts: Facts, name: str) -> set[float]:
    """Where `name` can change anything: the protocol's numbers, and readings that it is compared with."""
    found = set(protocol.thresholds.get(name, ()))
    found |= {float(facts[other].value) for other in protocol.compared.get(name, ())}
    found |= {fact.switch.at for fact in facts.values() if fact.switch and fact.switch.reading == name}
    rule = protocol.inputs[name]
    return {threshold for threshold in found if rule.lowest <= threshold <= rule.highest}


def decision_map(protocol: Protocol, facts: Facts, x: str, y: str) -> DecisionMap:
    """Regions of the decision over readings `x` and `y`, all else equal, with their exact edges.

    Edges where nothing changes are left out, so a simple protocol draws few rectangles.
    """
    at, choices = values(facts, "value"), unstated(facts)
    left = remainder(protocol, at, {x, y, *choices})
    x_edges, y_edges = (_edges(protocol, facts, name) for name in (x, y))
    rows = []
    for below, above in pairwise(y_edges):
        along = {**at, y: (below + above) / 2}
        row = remainder(left, along, {x, *choices})
        middles = ((before + after) / 2 for before, after in pairwise(x_edges))
        rows.append(tuple(decide_on(row, {**along, x: middle}, choices).decision for middle in middles))
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
