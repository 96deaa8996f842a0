"""From the situations a solver brings back to the simplest ones that still break the claim.

The solver's situations are true but ugly. Here, on floats alone, they are made as few as can be in what
differs, as harmless as can be in all else, and round; each step is kept only if the claim still breaks.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.claims import Obligation
from opsrisk.engine.decide import SCORE_CAP, decide
from opsrisk.engine.findings import Failure, situation
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.looks import Decide, Look
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Value
from opsrisk.engine.rounding import best_of, written

Facts = Mapping[str, Value]

CLOSE = 4  # of the values that a person would write, those so many apart are still side by side


class DoesNotReplay(RuntimeError):
    """Floats do not find what the solver found: a fault of the prover, never of the protocol."""


@dataclass(frozen=True)
class Case:
    """The two situations of one claim, and the score that takes the place of the points where it is free."""

    first: Facts
    second: Facts
    score: int

    def look(self, protocol: Protocol, decided_by: Decide = decide) -> Look:
        return Look(protocol, NUMBERS, self.first, self.second, score=self.score, decided_by=decided_by)


def simplest(protocol: Protocol, obligation: Obligation, case: Case, decided_by: Decide = decide) -> Failure:
    """The failure of `obligation` shown by the simplest situations found from `case`. Raises DoesNotReplay."""

    def breaks(tried: Case) -> bool:
        return bool(obligation.claim(tried.look(protocol, decided_by)))

    if not breaks(case):
        raise DoesNotReplay(f"{obligation.failed}? The solver's situation does not on floats: a fault of the prover")
    for candidates in (_fewer_differing, _more_harmless, _rounder, _closer, _more_harmless, _rounder):
        for name in case.first:
            case = next((tried for tried in candidates(protocol, obligation, case, name) if breaks(tried)), case)
    if obligation.any_score:
        case = next(tried for score in range(SCORE_CAP + 1) if breaks(tried := replace(case, score=score)))
    return _failure(protocol, obligation, case, decided_by)


def _fewer_differing(protocol: Protocol, obligation: Obligation, case: Case, name: str) -> Iterator[Case]:
    if len(obligation.varied) > 1 and name in obligation.varied:
        yield _with(case, name, case.first[name], case.first[name])


def _more_harmless(protocol: Protocol, obligation: Obligation, case: Case, name: str) -> Iterator[Case]:
    if name not in obligation.varied:
        item = INPUTS[name]
        places = [best_of(name)] if isinstance(item, Quantity) else range(int(case.first[name]))
        yield from (_with(case, name, value, value) for value in places)


def _rounder(protocol: Protocol, obligation: Obligation, case: Case, name: str) -> Iterator[Case]:
    """What cannot be harmless: the shortest number that does as well, of those the most harmless."""
    if name not in obligation.varied and isinstance(INPUTS[name], Quantity) and case.first[name] != best_of(name):
        for values in written(protocol, name, case.first):
            yield from (_with(case, name, value, value) for value in _worsening(name, values))


def _closer(protocol: Protocol, obligation: Obligation, case: Case, name: str) -> Iterator[Case]:
    """The two values of a reading that differs: short numbers, close together; one, where unknown is the other."""
    if name not in obligation.varied or case.first[name] == case.second[name]:
        return
    for values in written(protocol, name, case.first):
        ordered = _worsening(name, values)
        if obligation.letter == "f":
            yield from (_with(case, name, known, case.second[name]) for known in ordered)
            continue
        for apart in range(1, min(CLOSE, len(ordered))):
            for near, far in zip(ordered, ordered[apart:], strict=False):
                yield _with(case, name, near, far)
                yield _with(case, name, far, near)


def _worsening(name: str, values: tuple[Value, ...]) -> tuple[Value, ...]:
    item = INPUTS[name]
    return values[::-1] if isinstance(item, Quantity) and item.worse == "lower" else values


def _with(case: Case, name: str, first: Value, second: Value) -> Case:
    return replace(case, first={**case.first, name: first}, second={**case.second, name: second})


def _failure(protocol: Protocol, obligation: Obligation, case: Case, decided_by: Decide) -> Failure:
    look = case.look(protocol, decided_by)
    if not obligation.varied:
        outcome = look.at_any_score if obligation.any_score else look.before
        forced = case.score if obligation.any_score else None
        return Failure(obligation.subject, obligation.failed, situation(case.first, outcome), any_score=forced)
    differing = tuple(name for name in case.first if case.first[name] != case.second[name])
    unknown = obligation.subject if obligation.letter == "f" else ""
    first, second = situation(case.first, look.before), situation(case.second, look.after)
    return Failure(obligation.subject, obligation.failed, first, second, differing, unknown)
