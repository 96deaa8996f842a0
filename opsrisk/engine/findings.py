"""What the proof found, as frozen values, and in plain words with both situations side by side."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from opsrisk.engine.decide import RULES, Outcome
from opsrisk.engine.inputs import DECISIONS, INPUTS, Configuration
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Value
from opsrisk.engine.rounding import best_of, shown

PROVEN, REFUTED, UNFINISHED, FAULT = "proven", "refuted", "unfinished", "fault of the prover"


@dataclass(frozen=True)
class Situation:
    """One concrete situation, and what the float reader makes of it."""

    facts: Mapping[str, Value]
    decision: int
    rule: int
    score: int
    fired: tuple[str, ...]


@dataclass(frozen=True)
class Failure:
    """Why a property does not hold: for `subject` (an input, a rule, a line), in words.

    With situations where some break it. Where what is missing is a situation (a rule that never changes a
    decision), one in which it would be expected, if there is any. `second` is absent where one situation is enough.
    """

    subject: str
    words: str
    first: Situation | None = None
    second: Situation | None = None
    differing: tuple[str, ...] = ()
    unknown: str = ""  # the input that the second situation does not know
    any_score: int | None = None  # the score that the first situation is decided at, whatever its points


@dataclass(frozen=True)
class Result:
    """One property of one protocol. `waived` names inputs and the waiver that excuses each."""

    letter: str
    statement: str
    verdict: str
    checked: int
    failures: tuple[Failure, ...] = ()
    waived: tuple[tuple[str, str], ...] = ()

    @property
    def proven(self) -> bool:
        return self.verdict == PROVEN


def situation(facts: Mapping[str, Value], outcome: Outcome) -> Situation:
    """`facts` with the outcome of the float reader on them."""
    fired = tuple(name for name, fires in outcome.fired.items() if fires)
    return Situation(dict(facts), int(outcome.decision), int(outcome.rule), int(outcome.score), fired)


def in_words(protocol: Protocol, result: Result) -> Iterator[str]:
    """The first line says the property and how it stands; what breaks it follows, two blanks in."""
    under = "".join(f"; waived for {INPUTS[name].label.lower()}: {waiver}" for name, waiver in result.waived)
    yield f"({result.letter}) {result.verdict}: {result.statement} ({result.checked} claims{under})"
    for failure in result.failures:
        yield f"  {failure.words}."
        for row in side_by_side(protocol, failure):
            yield "    " + row
        if places := where_to_look(protocol, failure):
            yield f"    in the document: {', '.join(places)}"


def where_to_look(protocol: Protocol, failure: Failure) -> tuple[str, ...]:
    """The entries of the document that `failure` is about, as section/id.

    The one that it names; of two situations the entries that fire in one only, and the points that fall. Nothing where
    it is about the protocol as a whole: an answer that none of its rules ever gives.
    """
    sections = ("rules", "combinations", "controls", "notes", "factors")
    where = {part.id: f"{section}/{part.id}" for section in sections for part in getattr(protocol, section)}
    if failure.subject in where:
        return (where[failure.subject],)
    if failure.subject.startswith("line_"):
        return (f"lines/{failure.subject.removeprefix('line_')}",)
    found = [where[name] for name in _on_one_side(protocol, failure)]
    if failure.unknown in protocol.inputs:
        found.append(f"inputs/{failure.unknown}")
    return tuple(found)


def _on_one_side(protocol: Protocol, failure: Failure) -> Iterator[str]:
    """Rules and controls that fire in one situation only; where the score falls, what gives points for what differs."""
    first, second = failure.first, failure.second
    if first is None or second is None:
        return
    yield from (name for name in first.fired if name not in second.fired)
    yield from (name for name in second.fired if name not in first.fired)
    if second.score < first.score:
        yield from (factor.id for factor in protocol.factors if factor.input in failure.differing)
        yield from (extra.id for extra in protocol.combinations if protocol.reads[extra.id] & {*failure.differing})


def side_by_side(protocol: Protocol, failure: Failure) -> list[str]:
    """The situations of `failure` as lines of a table: what differs, what both share, the answers."""
    first, second = failure.first, failure.second
    if first is None:
        return []
    rows: list[tuple[str, str, str]] = []
    if second is not None:
        for name in failure.differing:
            after = "not known" if name == failure.unknown else shown(protocol, name, second.facts[name])
            rows.append((INPUTS[name].label, shown(protocol, name, first.facts[name]), after))
    rows.append(("Decision", *_both(first, second, lambda s: _words(DECISIONS[s.decision]))))
    rows.append(("Rule", *_both(first, second, lambda s: _words(RULES[s.rule]))))
    if second is not None and (fired := _fired_on_one_side(first, second)) != ("", ""):
        rows.append(("Fired here only", *fired))
    if second is None and first.fired:
        rows.append(("Fired", ", ".join(first.fired), ""))
    score = f"{failure.any_score} (whatever the points say)" if failure.any_score is not None else None
    rows.append(("Score", *_both(first, second, lambda s: score or str(s.score))))
    return [*_table(rows), *_shared(protocol, first, failure.differing if second else ())]


def _words(name: str) -> str:
    return name.replace("_", " ")


def _both(first: Situation, second: Situation | None, say: Callable[[Situation], str]) -> tuple[str, str]:
    return say(first), say(second) if second else ""


def _fired_on_one_side(first: Situation, second: Situation) -> tuple[str, str]:
    pairs = ((first, second), (second, first))
    ours, theirs = (", ".join(name for name in one.fired if name not in other.fired) for one, other in pairs)
    return ours, theirs


def _table(rows: Sequence[tuple[str, str, str]]) -> list[str]:
    widths = [max(len(row[place]) for row in rows) for place in range(3)]
    return [f"{a:<{widths[0]}} | {b:<{widths[1]}} | {c}".rstrip(" |") for a, b, c in rows]


def _shared(protocol: Protocol, first: Situation, differing: Sequence[str]) -> list[str]:
    """What both situations have in common that is not at its most harmless, and the configuration."""
    named = [
        f"{INPUTS[name].label}: {shown(protocol, name, value)}"
        for name, value in first.facts.items()
        if name not in differing and (isinstance(INPUTS[name], Configuration) or value != best_of(name))
    ]
    both = "both: " if differing else ""
    return [f"{both}{'; '.join(named)}; every other reading at its most harmless"]
