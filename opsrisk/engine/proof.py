"""The same decision over a solver: nine properties, or the situations that break one.

`decide` runs here unchanged, on unknown real numbers and unknown categories at once, over the whole range
that a situation may carry. What the solver cannot refute holds for every situation there is. What it can
refute it shows; and nothing is shown that floats do not confirm.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from operator import ne
from typing import Any

import z3

from opsrisk.engine.algebra import Steps
from opsrisk.engine.claims import Obligation, graded_inputs
from opsrisk.engine.conditions import AllOf, Limit
from opsrisk.engine.decide import SCORE_CAP, Outcome, decide, inputs_read
from opsrisk.engine.findings import FAULT, PROVEN, REFUTED, UNFINISHED, Failure, Result
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.looks import Decide, Look
from opsrisk.engine.parts import Protocol, Rule
from opsrisk.engine.properties import PROPERTIES, obligations, shared_claims, waiver
from opsrisk.engine.rounding import as_floats, best_of, marks, neighbours
from opsrisk.engine.simplest import Case, DoesNotReplay, simplest

# The solver's own steps for a whole proof, the same on every machine; the baseline takes under a hundredth of it.
PATIENCE = 1_000_000_000
SHOWN = 3  # situations are worked out for so many failures of a property; the others are named


def prove(
    protocol: Protocol, *, like: Protocol | None = None, decided_by: Decide = decide, patience: int = PATIENCE
) -> tuple[Result, ...]:
    """All nine properties of `protocol`. What it shares with the proven `like` is not checked again."""
    return tuple(proving(protocol, like=like, decided_by=decided_by, patience=patience))


def proving(
    protocol: Protocol, *, like: Protocol | None = None, decided_by: Decide = decide, patience: int = PATIENCE
) -> Iterator[Result]:
    """The same property by property, as each is done."""
    prover = Prover(protocol, decided_by, patience)
    shared = shared_claims(protocol, like) if like else frozenset()
    for letter in PROPERTIES:
        yield prover.result(letter, [claim for claim in prover.claims if claim.letter == letter], shared)


class Reading:
    """A quantity as a real number of the solver, compared with floats by their exact value."""

    def __init__(self, term: Any) -> None:
        self.term, self.terms = term, (term,)

    def _exact(self, other: Any) -> Any:
        return other.term if isinstance(other, Reading) else z3.RealVal(Fraction(other), self.term.ctx)

    def __gt__(self, other: Any) -> Any:
        return self.term > self._exact(other)

    def __lt__(self, other: Any) -> Any:
        return self.term < self._exact(other)

    def __ge__(self, other: Any) -> Any:
        return self.term >= self._exact(other)

    def __le__(self, other: Any) -> Any:
        return self.term <= self._exact(other)

    def __eq__(self, other: object) -> Any:
        return self.term == self._exact(other)

    __hash__ = None  # type: ignore[assignment] # equality is a term, not a truth


class Grade:
    """An ordered category as truths: the k-th says 'as bad as value k or worse', so each implies the one before."""

    def __init__(self, terms: Sequence[Any], ctx: Any) -> None:
        self.terms, self.ctx = terms, ctx

    def _at_least(self, given: float) -> Any:
        place = int(given)
        if place <= 0 or place > len(self.terms):
            return z3.BoolVal(place <= 0, self.ctx)
        return self.terms[place - 1]

    def __ge__(self, other: Any) -> Any:
        if isinstance(other, Grade):
            return z3.And(*[z3.Implies(theirs, ours) for ours, theirs in zip(self.terms, other.terms, strict=True)])
        return self._at_least(other)

    def __gt__(self, place: float) -> Any:
        return self._at_least(place + 1)

    def __lt__(self, place: float) -> Any:
        return z3.Not(self._at_least(place))

    def __le__(self, place: float) -> Any:
        return z3.Not(self._at_least(place + 1))

    def __eq__(self, place: object) -> Any:
        assert isinstance(place, int | float)  # noqa: S101 - a protocol compares categories with its own values
        return z3.And(self._at_least(place), z3.Not(self._at_least(place + 1)))

    __hash__ = None  # type: ignore[assignment] # equality is a term, not a truth


class OnSolver:
    """The algebra on solver terms; plain truths and numbers are taken as such."""

    def __init__(self, ctx: Any) -> None:
        self.ctx = ctx

    def truth(self, value: Any) -> Any:
        return value if isinstance(value, z3.ExprRef) else z3.BoolVal(bool(value), self.ctx)

    def number(self, value: Any) -> Any:
        return value if isinstance(value, z3.ExprRef) else z3.IntVal(int(value), self.ctx)

    def all_of(self, parts: Sequence[Any]) -> Any:
        return z3.And(*[self.truth(part) for part in parts]) if parts else self.truth(True)

    def any_of(self, parts: Sequence[Any]) -> Any:
        return z3.Or(*[self.truth(part) for part in parts]) if parts else self.truth(False)

    def no(self, part: Any) -> Any:
        return z3.Not(self.truth(part))

    def where(self, condition: Any, then: Any, otherwise: Any) -> Any:
        return z3.If(self.truth(condition), self.number(then), self.number(otherwise))

    def steps(self, value: Any, steps: Steps) -> Any:
        total, stopped_at = self.number(steps.base), None
        for threshold, inclusive, points in zip(steps.thresholds, steps.inclusive, steps.totals, strict=True):
            # Of several steps at one threshold those after the first exclusive one are not taken at it.
            at_it = inclusive and threshold != stopped_at
            stopped_at = stopped_at if at_it else threshold
            edge = steps.sign * threshold
            if steps.sign > 0:
                passed = value >= edge if at_it else value > edge
            else:
                passed = value <= edge if at_it else value < edge
            total = z3.If(passed, self.number(points), total)
        return total

    def at_most(self, value: Any, cap: int) -> Any:
        return self.where(self.number(value) > cap, cap, value)


class SolverLook(Look):
    """The two situations as terms. The second differs in some inputs only, so its outcome is the first's, renamed."""

    renamed: Sequence[tuple[Any, Any]] = ()

    def beside(self, second: Mapping[str, Any], varied: Sequence[str]) -> "SolverLook":
        """The same first situation beside one that takes the inputs `varied` from `second`."""
        mixed = {**self.first, **{name: second[name] for name in varied}}
        other = SolverLook(self.protocol, self.ops, self.first, mixed, score=self.score, decided_by=self.decided_by)
        other.renamed = [
            pair for name in varied for pair in zip(self.first[name].terms, second[name].terms, strict=True)
        ]
        other.before = self.before
        return other

    @cached_property
    def after(self) -> Outcome:
        return _renamed(self.before, self.renamed)

    def without(self, part: str) -> Outcome:
        switch, outcome, places = self._with_a_switch
        return _renamed(outcome, [(switch, z3.IntVal(places.index(part), switch.ctx))])

    @cached_property
    def _with_a_switch(self) -> tuple[Any, Outcome, Sequence[str]]:
        """The first situation under a protocol from which a number takes out one rule: one run for all."""
        places = [part.id for part in (*self.protocol.rules, *self.protocol.combinations)]
        switch = z3.Int("taken out", self.score.ctx)

        def switched(parts: Sequence[Rule]) -> tuple[Rule, ...]:
            stays = {part.id: Limit("taken out", "is", places.index(part.id), "", "", ne) for part in parts}
            return tuple(replace(part, when=AllOf((part.when, stays[part.id]))) for part in parts)

        rules, combinations = switched(self.protocol.rules), switched(self.protocol.combinations)
        other = replace(self.protocol, rules=rules, combinations=combinations)
        return switch, self.decided_by(other, {**self.first, "taken out": switch}, self.ops), places


def _renamed(outcome: Outcome, pairs: Sequence[tuple[Any, Any]]) -> Outcome:
    """`outcome` with each first term of `pairs` replaced by its second (but for what fired, which no claim asks)."""

    def rename(term: Any) -> Any:
        return z3.substitute(term, *pairs) if isinstance(term, z3.ExprRef) else term

    points = {name: rename(term) for name, term in outcome.points.items()}
    decision, rule, score = rename(outcome.decision), rename(outcome.rule), rename(outcome.score)
    return Outcome(decision, rule, score, rename(outcome.sum), points, {}, rename(outcome.vehicle_able))


class Prover:
    """One protocol before the solver. It has a solver context of its own, so several may work at once in threads."""

    def __init__(self, protocol: Protocol, decided_by: Decide = decide, patience: int = PATIENCE) -> None:
        self.protocol, self.decided_by = protocol, decided_by
        self.claims = tuple(obligations(protocol))
        ctx = z3.Context()
        self.ops = OnSolver(ctx)
        self.solver = z3.Solver(ctx=ctx)
        self.solver.set("arith.solver", 2)  # the older simplex: a fifth faster here, on whole sums of few readings
        self.patience, self._steps = patience, 0
        names = inputs_read(protocol)
        first, self.second = ({name: self._unknown(name, mark) for name in names} for mark in ("", "'"))
        self.harmless = {name: self._at_best(name, first[name]) for name in graded_inputs(protocol)}
        score = z3.Int("score", ctx)
        self.solver.add(score >= 0, score <= SCORE_CAP)
        look = SolverLook(protocol, self.ops, first, first, score=score, decided_by=decided_by)
        self.looks: dict[tuple[str, ...], SolverLook] = {(): look}
        self.cleared: dict[tuple[str, ...], bool] = {}

    def _unknown(self, name: str, mark: str) -> Reading | Grade:
        """An unknown value of `name` within its range, as far as a float can be there."""
        item, ctx = INPUTS[name], self.ops.ctx
        if not isinstance(item, Quantity):
            terms = [z3.Bool(f"{name}{mark} {value}", ctx) for value in item.values[1:]]
            self.solver.add(*[z3.Implies(worse, better) for better, worse in pairwise(terms)])
            return Grade(terms, ctx)
        reading = Reading(z3.Real(name + mark, ctx))
        gaps = neighbours(marks(self.protocol, name))
        self.solver.add(reading >= item.lowest, reading <= item.highest)
        self.solver.add(*[z3.Or(reading <= low, reading >= high) for low, high in gaps])
        return reading

    def _at_best(self, name: str, value: Reading | Grade) -> Any:
        """A literal under which `name` is at its most harmless."""
        if isinstance(value, Grade):
            return z3.Not(value.terms[0])
        literal = z3.Bool(f"{name} harmless", self.ops.ctx)
        self.solver.add(z3.Implies(literal, value == best_of(name)))
        return literal

    def look(self, varied: tuple[str, ...]) -> SolverLook:
        """Two situations that differ in `varied` at most."""
        if varied not in self.looks:
            self.looks[varied] = self.looks[()].beside(self.second, varied)
        return self.looks[varied]

    def result(self, letter: str, claims: Sequence[Obligation], proven: Collection[Any] = ()) -> Result:
        """Property `letter`, made up of `claims`; those with a key in `proven` are not checked again."""
        failures: list[Failure] = []
        verdict = PROVEN
        for claim in (claim for claim in claims if claim.key not in proven):
            found, failure = self.check(claim, show=len(failures) < SHOWN)
            if failure:
                failures.append(failure)
            verdict = max(verdict, found, key=(PROVEN, REFUTED, UNFINISHED, FAULT).index)
        waived = tuple((name, reason) for name in self.look(()).first if (reason := waiver(self.protocol, name)))
        return Result(
            letter, PROPERTIES[letter], verdict, len(claims), tuple(failures), waived if letter == "f" else ()
        )

    def check(self, claim: Obligation, *, show: bool = True) -> tuple[str, Failure | None]:
        """How `claim` stands, and why it does not hold; with `show`, by concrete situations where there are any."""
        if claim.never and self._all_clear(claim.varied):
            return PROVEN, None
        with self._assuming(claim):
            answer = self._somewhere(claim.about) if claim.about else self._answer()
            case = self._case(claim.varied) if answer == z3.sat and claim.never and show else None
        if answer == z3.unknown:
            words = f"{claim.failed}? The solver did not finish within its limit: not proven"
            return UNFINISHED, Failure(claim.subject, words)
        if (answer == z3.sat) != claim.never:
            return PROVEN, None
        if claim.instead and show:
            claim = replace(claim, claim=claim.instead)
            case = self.witness(claim)
        try:
            plain = Failure(claim.subject, claim.failed)
            return REFUTED, simplest(self.protocol, claim, case, self.decided_by) if case else plain
        except DoesNotReplay as fault:
            return FAULT, Failure(claim.subject, str(fault))

    def witness(self, claim: Obligation) -> Case | None:
        """A situation (or two) in which `claim` holds."""
        with self._assuming(claim):
            return self._case(claim.varied) if self._answer() == z3.sat else None

    @contextmanager
    def _assuming(self, *claims: Obligation) -> Iterator[None]:
        """One of `claims` holds."""
        self.solver.push()
        self.solver.add(self.ops.any_of([claim.claim(self.look(claim.varied)) for claim in claims]))
        try:
            yield
        finally:
            self.solver.pop()

    def _all_clear(self, varied: tuple[str, ...]) -> bool:
        """Whether none of all that must never happen between such situations can: one question for many claims."""
        if varied not in self.cleared:
            with self._assuming(*(claim for claim in self.claims if claim.never and claim.varied == varied)):
                self.cleared[varied] = self._answer() == z3.unsat
        return self.cleared[varied]

    def _somewhere(self, about: tuple[str, ...]) -> Any:
        """First with all else harmless, which is quickly searched; only then anywhere."""
        answer = self._answer(*(harmless for name, harmless in self.harmless.items() if name not in about))
        return answer if answer == z3.sat else self._answer()

    def _answer(self, *assumptions: Any) -> Any:
        if self.patience <= 0:
            return z3.unknown
        self.solver.set("rlimit", self.patience)
        before = self._steps
        answer = self.solver.check(*assumptions)
        self._steps = self.solver.statistics().get_key_value("rlimit count")
        self.patience -= self._steps - before
        return answer

    def _case(self, varied: tuple[str, ...]) -> Case:
        """The situations of the solver's model, in floats in the same order, among themselves and to all marks."""
        model, look = self.solver.model(), self.look(varied)

        def value(of: Reading | Grade) -> Fraction | int:
            if isinstance(of, Reading):
                return Fraction(model.eval(of.term, model_completion=True).as_fraction())
            return sum(bool(z3.is_true(model.eval(term, model_completion=True))) for term in of.terms)

        exact = [{name: value(of) for name, of in facts.items()} for facts in (look.first, look.second)]
        at = {mark for name in look.first if isinstance(INPUTS[name], Quantity) for mark in marks(self.protocol, name)}
        floats = as_floats([value for facts in exact for value in facts.values() if isinstance(value, Fraction)], at)
        first, second = (
            {name: floats[value] if isinstance(value, Fraction) else value for name, value in facts.items()}
            for facts in exact
        )
        return Case(first, second, model.eval(look.score, model_completion=True).as_long())
