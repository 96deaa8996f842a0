"""The decision written out as one expression, for engines that evaluate expressions: the same table, not a copy of it.

`decide` runs here unchanged, on names instead of values, as it runs on solver terms in the proof.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from opsrisk.engine.algebra import Steps
from opsrisk.engine.decide import decide, inputs_read
from opsrisk.engine.parts import Protocol

SCORE = "score"


@dataclass(frozen=True, eq=False)
class Term:
    """An operator and its parts; `name` has one part, the name. Compared and added it gives terms again."""

    operator: str
    parts: tuple[Any, ...]

    def __gt__(self, other: Any) -> "Term":
        return Term(">", (self, other))

    def __lt__(self, other: Any) -> "Term":
        return Term("<", (self, other))

    def __ge__(self, other: Any) -> "Term":
        return Term(">=", (self, other))

    def __le__(self, other: Any) -> "Term":
        return Term("<=", (self, other))

    def __eq__(self, other: object) -> Any:
        return Term("==", (self, other))

    __hash__ = None  # type: ignore[assignment] # equality is a term, not a truth

    def __add__(self, other: Any) -> "Term":
        terms = self.parts if self.operator == "+" else (self,)
        return Term("+", (*terms, other))

    def __radd__(self, other: int) -> "Term":
        return Term("+", (self,)) if other == 0 else Term("+", (other, self))


class OnTerms:
    """The algebra on terms. The score is kept; in the decision it stands in full, or as the name `score`."""

    def __init__(self, *, named: bool) -> None:
        self.score: Any = 0
        self.named = named

    def all_of(self, parts: Sequence[Any]) -> Any:
        return Term("and", tuple(parts)) if len(parts) > 1 else parts[0] if parts else True

    def any_of(self, parts: Sequence[Any]) -> Any:
        return Term("or", tuple(parts)) if len(parts) > 1 else parts[0] if parts else False

    def no(self, part: Any) -> Any:
        return Term("not", (part,))

    def where(self, condition: Any, then: Any, otherwise: Any) -> Any:
        return Term("if", (condition, then, otherwise))

    def steps(self, value: Any, steps: Steps) -> Any:
        """Halved again and again: the staircase with the fewest comparisons, in no engine's disfavour."""
        totals = (steps.base, *steps.totals)

        def between(first: int, last: int) -> Any:
            if first == last:
                return totals[first]
            middle = (first + last) // 2
            edge = steps.sign * steps.thresholds[middle]
            beyond, at = (value > edge, value >= edge) if steps.sign > 0 else (value < edge, value <= edge)
            passed = at if steps.inclusive[middle] else beyond
            return Term("if", (passed, between(middle + 1, last), between(first, middle)))

        return between(0, len(steps.thresholds))

    def at_most(self, value: Any, cap: int) -> Any:
        self.score = self.where(value > cap, cap, value)
        return Term("name", (SCORE,)) if self.named else self.score


def plain(name: str) -> str:
    """The name of an input without dots, which stand for 'inside of' in every such language."""
    return name.replace(".", "_")


def written_out(protocol: Protocol, *, named: bool) -> tuple[Any, Any]:
    """Score and decision of `protocol` as terms over plain names; with `named` the decision reads `score` too."""
    ops = OnTerms(named=named)
    outcome = decide(protocol, {name: Term("name", (plain(name),)) for name in inputs_read(protocol)}, ops)
    return ops.score, outcome.decision


def as_json(term: Any) -> Any:
    """In the JSON form that several such engines share: {operator: [parts]}."""
    if not isinstance(term, Term):
        return term
    if term.operator == "name":
        return {"var": term.parts[0]}
    return {"!" if term.operator == "not" else term.operator: [as_json(part) for part in term.parts]}


def as_text(term: Any) -> str:
    """With operators between their parts, and `condition ? then : otherwise`."""
    if not isinstance(term, Term):
        return json.dumps(term)
    if term.operator == "name":
        return str(term.parts[0])
    parts = [as_text(part) for part in term.parts]
    if term.operator == "if":
        return f"({parts[0]} ? {parts[1]} : {parts[2]})"
    return f"(not {parts[0]})" if term.operator == "not" else f"({f' {term.operator} '.join(parts)})"
