"""General rule engines on the same table of rules, without explanation, each in the form in which it is fastest.

They come with the tests and are not needed to run. A peer is given one value for every input, as `decide` is, and
answers with score and decision.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.metadata import version
from typing import Any

from opsrisk.engine.parts import Protocol
from opsrisk.tablet.management.expressions import SCORE, as_json, as_text, written_out

Answer = tuple[int, int]


class NoPeers(RuntimeError):
    """The other engines are not installed; the message says which is missing."""


@dataclass(frozen=True)
class Peer:
    name: str
    compiled: bool  # or pure Python
    answer: Callable[[dict[str, Any]], Answer]


def peers(protocol: Protocol) -> Iterator[Peer]:
    """Every peer, with the table of `protocol` loaded. Raises NoPeers."""
    score, decision = written_out(protocol, named=True)
    try:
        yield Peer(_named("zen-engine"), True, _zen(*map(as_text, written_out(protocol, named=False))))
        yield Peer(_named("panzi-json-logic"), False, _json_logic(as_json(score), as_json(decision)))
        yield Peer(_named("rule-engine"), False, _rule_engine(as_text(score), as_text(decision)))
    except ImportError as missing:
        raise NoPeers(f"{missing}; it comes with make test") from missing


def _named(package: str) -> str:
    return f"{package} {version(package)}"


def _zen(score: str, decision: str) -> Callable[[dict[str, Any]], Answer]:
    """In one go: handing the values over takes longer than working out the score twice."""
    from zen import compile_expression  # noqa: PLC0415  (comes with the tests, not to run)

    both = compile_expression(f"[{score}, {decision}]")

    def answer(values: dict[str, Any]) -> Answer:
        points, decided = both.evaluate(values)
        return int(points), int(decided)

    return answer


def _json_logic(score: Any, decision: Any) -> Callable[[dict[str, Any]], Answer]:
    from json_logic import jsonLogic  # noqa: PLC0415  (comes with the tests, not to run)

    return _in_two_steps(lambda values: jsonLogic(score, values), lambda values: jsonLogic(decision, values))


def _rule_engine(score: str, decision: str) -> Callable[[dict[str, Any]], Answer]:
    from rule_engine import Rule  # noqa: PLC0415  (comes with the tests, not to run)

    return _in_two_steps(Rule(score).evaluate, Rule(decision).evaluate)


def _in_two_steps(score: Callable[[Any], Any], decision: Callable[[Any], Any]) -> Callable[[dict[str, Any]], Answer]:
    """The score first, which the decision then reads like any other value."""

    def answer(values: dict[str, Any]) -> Answer:
        points = int(score(values))
        values[SCORE] = points
        return points, int(decision(values))

    return answer
