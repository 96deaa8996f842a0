"""One situation, or two side by side, as a claim about a protocol looks at them.

A claim is written once, over the algebra, and looked at by two readers: the solver, for all situations at
once, and floats, for the two situations that the solver brings back.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

from opsrisk.engine.algebra import Algebra, Steps
from opsrisk.engine.conditions import Condition, Facts, holds
from opsrisk.engine.decide import Outcome, decide
from opsrisk.engine.parts import Protocol

Decide = Callable[[Protocol, Facts, Algebra], Outcome]


class AnyScore:
    """The algebra `ops`, but the score is `score`, whatever the points add up to."""

    def __init__(self, ops: Algebra, score: Any) -> None:
        self.ops, self.score = ops, score

    def all_of(self, parts: Sequence[Any]) -> Any:
        return self.ops.all_of(parts)

    def any_of(self, parts: Sequence[Any]) -> Any:
        return self.ops.any_of(parts)

    def no(self, part: Any) -> Any:
        return self.ops.no(part)

    def where(self, condition: Any, then: Any, otherwise: Any) -> Any:
        return self.ops.where(condition, then, otherwise)

    def steps(self, value: Any, steps: Steps) -> Any:
        return self.ops.steps(value, steps)

    def at_most(self, value: Any, cap: int) -> Any:
        return self.score


class Look:
    """The two situations `first` and `second` under `protocol`, decided when a claim asks.

    `score` is what `at_any_score` takes for the score. `decided_by` is the decision function; only the
    tests of the proof hand in another, broken one.
    """

    def __init__(
        self,
        protocol: Protocol,
        ops: Algebra,
        first: Facts,
        second: Facts,
        *,
        score: Any = 0,
        decided_by: Decide = decide,
    ) -> None:
        self.protocol, self.ops, self.first, self.second, self.score = protocol, ops, first, second, score
        self.decided_by = decided_by

    @cached_property
    def before(self) -> Outcome:
        return self.decided_by(self.protocol, self.first, self.ops)

    @cached_property
    def after(self) -> Outcome:
        return self.decided_by(self.protocol, self.second, self.ops)

    @cached_property
    def at_any_score(self) -> Outcome:
        """The first situation, decided as if the points added up to `score`."""
        return self.decided_by(self.protocol, self.first, AnyScore(self.ops, self.score))

    def without(self, part: str) -> Outcome:
        """The first situation under the protocol that lacks the rule or combination `part`."""
        kept = replace(
            self.protocol,
            rules=tuple(rule for rule in self.protocol.rules if rule.id != part),
            combinations=tuple(extra for extra in self.protocol.combinations if extra.id != part),
        )
        return self.decided_by(kept, self.first, self.ops)

    def with_line(self, line: str, moved: int) -> Outcome:
        """The first situation under the protocol whose `line` is moved by so many points."""
        lines: dict[str, Any] = {line: getattr(self.protocol, line) + moved}
        return self.decided_by(replace(self.protocol, **lines), self.first, self.ops)

    def holds_before(self, condition: Condition) -> Any:
        return holds(condition, self.first, self.ops)

    def holds_after(self, condition: Condition) -> Any:
        return holds(condition, self.second, self.ops)
