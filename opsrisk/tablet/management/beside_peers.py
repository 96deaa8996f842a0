"""Decisions a second beside general rule engines: first that all say the same on everything timed, then how fast."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from random import Random
from typing import Any

from opsrisk.assessment.computed import facts_of
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import decide, inputs_read
from opsrisk.engine.explain import controls, explain_rule, point_lines
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Fact, values
from opsrisk.engine.replay import columns, replay
from opsrisk.tablet.management.expressions import plain
from opsrisk.tablet.management.peers import Answer, Peer, peers
from opsrisk.tablet.management.timed import median_ms

Facts = dict[str, Fact]

VARIANTS, CHANGED = 9, 3  # of each case, with so many values from other cases
AS_FAST, TIMES_AS_FAST = 1.0, 10.0  # with reasons against pure Python; arrays against the fastest of all


class NotTheSame(RuntimeError):
    """A peer answers otherwise than we do: what it was timed on would not be the same table."""


@dataclass(frozen=True)
class Speed:
    name: str
    a_second: float
    kind: str  # compiled or Python for a peer; ours


def situations(cases: Sequence[str], protocol: Protocol) -> list[Facts]:
    """The cases as facts, each followed by variants of it: some values as another case has them."""
    chance = Random(1)  # noqa: S311 - the same draw at each run
    known = [facts_of(read_situation(text), protocol) for text in cases]
    names = inputs_read(protocol)
    found: list[Facts] = []
    for facts in known:
        found.append(facts)
        for _ in range(VARIANTS):
            other = {name: chance.choice(known)[name] for name in chance.sample(names, CHANGED)}
            found.append(facts | other)
    return found


def speeds(protocol: Protocol, situated: Sequence[Facts], rows: int) -> Iterator[Speed]:
    """Each peer's, then ours. Raises NotTheSame before anything is timed, NoPeers where there are none."""
    at = [values(facts, "value") for facts in situated]
    given = [{plain(name): each[name] for name in inputs_read(protocol)} for each in at]
    others = list(peers(protocol))
    expected = [_answer(protocol, each) for each in at]
    for peer in others:
        _check(peer, given, expected)
    for peer in others:
        yield Speed(peer.name, _a_second(peer.answer, given), "compiled" if peer.compiled else "Python")
    yield Speed("ours, without explanation", _a_second(partial(_answer, protocol), at), "ours")
    yield Speed("ours, every reason explained", _a_second(partial(explained, protocol), situated), "ours")
    table = columns(protocol, (at[place % len(at)] for place in range(rows)))
    yield Speed("ours, over arrays", rows * _a_second(lambda _: replay(protocol, table), [None]), "ours")


def _answer(protocol: Protocol, at: Any) -> Answer:
    outcome = decide(protocol, at, NUMBERS)
    return outcome.score, outcome.decision


def explained(protocol: Protocol, facts: Facts) -> tuple[Any, ...]:
    """The answer with all that fired (its reading, limit and source), where the points come from, and the controls."""
    at = values(facts, "value")
    outcome = decide(protocol, at, NUMBERS)
    reasons = [explain_rule(rule, at, facts) for rule in protocol.rules if outcome.fired[rule.id]]
    return (
        outcome.decision,
        outcome.score,
        reasons,
        [*point_lines(protocol, outcome, facts)],
        controls(protocol, outcome),
    )


def _check(peer: Peer, given: Sequence[dict[str, Any]], expected: Sequence[Answer]) -> None:
    for number, (values_given, answer) in enumerate(zip(given, expected, strict=True)):
        if (found := peer.answer(dict(values_given))) != answer:
            raise NotTheSame(f"situation {number}: {peer.name} answers {found}, we {answer} (score, decision)")


def _a_second(work: Callable[[Any], object], given: Sequence[Any]) -> float:
    return 1000 / median_ms(work, given, 1)


def verdicts(found: Sequence[Speed]) -> Iterator[str]:
    """The two goals, met or missed, in words."""
    by_name = {speed.name: speed.a_second for speed in found}
    python = max(speed.a_second for speed in found if speed.kind == "Python")
    fastest = max(speed.a_second for speed in found if speed.kind != "ours")
    for ours, what, ratio, goal in (
        (
            "ours, every reason explained",
            "the fastest peer in Python",
            by_name["ours, every reason explained"] / python,
            AS_FAST,
        ),
        ("ours, over arrays", "the fastest peer of all", by_name["ours, over arrays"] / fastest, TIMES_AS_FAST),
    ):
        met = "meets" if ratio >= goal else "MISSES"
        yield f"{ours}: {ratio:.1f} times as fast as {what} ({met} the goal, {goal:g})"
