"""A claim about one protocol, and the few relations that claims are made of, over the algebra."""

from dataclasses import dataclass
from functools import partial
from typing import Any

from opsrisk.engine.conditions import COMPARISONS, Condition, Facts
from opsrisk.engine.decide import inputs_read
from opsrisk.engine.inputs import INPUTS, Configuration, Quantity
from opsrisk.engine.looks import Look
from opsrisk.engine.parts import Protocol


@dataclass(frozen=True)
class Obligation:
    """One claim of the property `letter`, about `subject` (an input, a rule, a line).

    With `never` no situation may satisfy `claim`; without it some situation must. The second situation
    differs from the first in the inputs `varied` at most. `failed` says what a failure means, in words.
    `about` names the inputs that a situation for it is likely to need; all others may be harmless in it.
    `instead` is shown when a wanted situation does not exist: one in which it would be expected.
    `alone` says that the claim looks at nothing but what it names: the rest of the protocol may change.
    """

    letter: str
    subject: str
    never: bool
    claim: partial[Any]  # of a Look
    failed: str
    varied: tuple[str, ...] = ()
    about: tuple[str, ...] = ()
    instead: partial[Any] | None = None
    any_score: bool = False
    alone: bool = False

    @property
    def key(self) -> Any:
        """Equal for claims that say the same."""
        return self.letter, self.subject, self.varied, self.claim.func, self.claim.args


def graded_inputs(protocol: Protocol) -> tuple[str, ...]:
    """The inputs that have a better and a worse: all that `protocol` reads but its configurations."""
    return tuple(name for name in inputs_read(protocol) if not isinstance(INPUTS[name], Configuration))


def no_better(name: str, facts: Facts, than: Any) -> Any:
    """Whether `name` is as bad in `facts` as `than`, or worse."""
    item = INPUTS[name]
    return COMPARISONS["as_bad_as"][isinstance(item, Quantity) and item.worse == "lower"](facts[name], than)


def made_worse(look: Look, name: str) -> Any:
    """Whether `name` is no better in the second situation than in the first."""
    return no_better(name, look.second, look.first[name])


def less_cautious(look: Look) -> Any:
    return look.after.decision < look.before.decision


def score_lower(look: Look) -> Any:
    return look.after.score < look.before.score


def better(look: Look) -> Any:
    return look.ops.any_of([less_cautious(look), score_lower(look)])


def unequal(look: Look, one: Any, other: Any) -> Any:
    """Whether two numbers differ."""
    return look.ops.any_of([one < other, one > other])


def crosses(look: Look, condition: Condition) -> Any:
    """Whether `condition` holds in exactly one of the two situations."""
    ops, before, after = look.ops, look.holds_before(condition), look.holds_after(condition)
    return ops.any_of([ops.all_of([before, ops.no(after)]), ops.all_of([after, ops.no(before)])])
