"""What proof and brute force say differently of one random change of the baseline: nothing, it is to be hoped."""

from dataclasses import dataclass

from opsrisk.engine.findings import Result
from opsrisk.engine.parts import Protocol
from opsrisk.engine.proof import prove
from tests.engine.brute_force import Found, condition_seen, confirmed, idle_rule_matters, search
from tests.engine.mutations import mutated

SEARCHED = "befh"  # what a search on floats can find by itself

Results = dict[str, Result]


@dataclass(frozen=True)
class Told:
    """Of mutation `seed`: the disagreements in words, and the letters of what each of the two finds broken."""

    seed: int
    words: str
    wrong: tuple[str, ...]
    broken: frozenset[str]
    searched: frozenset[str]


def told(seed: int) -> Told:
    protocol, words, inputs = mutated(seed)
    results = {result.letter: result for result in prove(protocol)}
    found, seen = search(protocol, inputs, seed)
    seen |= condition_seen(protocol, inputs, seed)
    wrong = [*unsure(results), *overlooked(results, found), *seen_after_all(results, seen)]
    wrong += [*not_confirmed(protocol, results), *not_idle(protocol, results, inputs, seed)]
    return Told(
        seed,
        words,
        tuple(wrong),
        frozenset(letter for letter, result in results.items() if not result.proven),
        frozenset(letter for letter, subjects in found.items() if subjects),
    )


def subjects(results: Results, letter: str) -> set[str]:
    return {failure.subject for failure in results[letter].failures}


def unsure(results: Results) -> list[str]:
    return [f"({each.letter}) {each.verdict}" for each in results.values() if each.verdict not in ("proven", "refuted")]


def overlooked(results: Results, found: Found) -> list[str]:
    missed = {letter: found[letter] - subjects(results, letter) for letter in SEARCHED}
    return [
        f"({letter}) holds for {sorted(names)}, says the proof, yet breaks" for letter, names in missed.items() if names
    ]


def seen_after_all(results: Results, seen: set[str]) -> list[str]:
    return [
        f"(d) '{name}' never happens, says the proof, yet is seen" for name in sorted(seen & subjects(results, "d"))
    ]


def not_confirmed(protocol: Protocol, results: Results) -> list[str]:
    return [
        f"({letter}) what is shown for '{failure.subject}' breaks nothing"
        for letter in SEARCHED
        for failure in results[letter].failures
        if not confirmed(protocol, letter, failure)
    ]


def not_idle(protocol: Protocol, results: Results, inputs: tuple[str, ...], seed: int) -> list[str]:
    idle = {failure.subject for failure in results["i"].failures if "changes no decision" in failure.words}
    return [
        f"(i) '{rule}' is idle, says the proof, yet it decides"
        for rule in sorted(idle)
        if idle_rule_matters(protocol, rule, inputs, seed)
    ]
