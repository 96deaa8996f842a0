"""The result of a proof as it is kept beside a version: JSON, in the words in which it is shown."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from opsrisk.assessment.assess import RULE_WORDS, WORDS
from opsrisk.engine import VERSION
from opsrisk.engine.decide import RULES
from opsrisk.engine.findings import PROVEN, Failure, Result, Situation, where_to_look
from opsrisk.engine.inputs import DECISIONS, INPUTS, Configuration
from opsrisk.engine.parts import Protocol
from opsrisk.engine.rounding import best_of, shown
from opsrisk.protocols.places import Place, entry_at
from opsrisk.protocols.words import title_of

QUEUED, DONE, FAILED = "queued", "done", "failed"


def waiting(digest: str, at: datetime) -> dict[str, Any]:
    """What is kept while nobody has proven the document yet."""
    return {"state": QUEUED, "digest": digest, "engine": VERSION, "asked_at": at.isoformat()}


def failed(digest: str, why: str, at: datetime) -> dict[str, Any]:
    """The prover itself broke: nothing is proven."""
    return {
        "state": FAILED, "digest": digest, "engine": VERSION, "proved_at": at.isoformat(), "holds": False, "why": why,
    }  # fmt: skip


def finished(
    protocol: Protocol, digest: str, results: Sequence[Result], *, at: datetime, seconds: float
) -> dict[str, Any]:
    """Every property with its verdict, and each failure as situations side by side."""
    return {
        "state": DONE,
        "digest": digest,
        "engine": VERSION,
        "proved_at": at.isoformat(),
        "seconds": f"{seconds:.1f}",
        "holds": bool(results) and all(result.proven for result in results),
        "properties": [_property(protocol, result) for result in results],
    }


def stands(proof: Mapping[str, Any] | None, digest: str) -> bool:
    """Whether `proof` shows that the document of that digest holds, under the engine that decides now."""
    given = proof or {}
    return given.get("holds") is True and given.get("digest") == digest and given.get("engine") == VERSION


def state_words(proof: Mapping[str, Any] | None, digest: str) -> str:
    """How the document of that digest stands, for whoever wants to adopt it."""
    given = proof or {}
    if given.get("digest") != digest:
        return "none of this document"
    if given.get("state") == QUEUED:
        return "one that has not finished yet"
    if given.get("engine") != VERSION:
        return f"one by engine {given.get('engine')}; this is engine {VERSION}"
    return "one that holds" if given.get("holds") is True else "one that does not hold"


def _property(protocol: Protocol, result: Result) -> dict[str, Any]:
    return {
        "letter": result.letter,
        "statement": result.statement,
        "verdict": result.verdict,
        "proven": result.verdict == PROVEN,
        "checked": result.checked,
        "waived": [[INPUTS[name].label, waiver] for name, waiver in result.waived],
        "failures": [_failure(protocol, failure) for failure in result.failures],
    }


def _failure(protocol: Protocol, failure: Failure) -> dict[str, Any]:
    """`places` are where to look; `rows` what differs between the sides; `shared` what both have in common."""
    places = [list(_place(protocol, entry)) for entry in where_to_look(protocol, failure)]
    made: dict[str, Any] = {"subject": failure.subject, "words": failure.words, "places": places}
    if failure.first is None:
        return made
    sides = [side for side in (failure.first, failure.second) if side is not None]
    made["sides"] = [_side(protocol, side, failure, sides) for side in sides]
    made["rows"] = list(_differing(protocol, failure))
    made["shared"] = list(_shared(protocol, failure))
    return made


def _place(protocol: Protocol, entry: str) -> tuple[str, str, str]:
    """Section, id and title of an entry, as the protocol's page has them."""
    section, _, name = entry.partition("/")
    place = Place(section, name)
    return section, name, title_of(place, entry_at(protocol.document, place))


def _side(protocol: Protocol, side: Situation, failure: Failure, sides: Sequence[Situation]) -> dict[str, Any]:
    others = {name for other in sides if other is not side for name in other.fired}
    parts = (*protocol.rules, *protocol.controls)
    here = [part.text for part in parts if part.id in side.fired and part.id not in others]
    decision = DECISIONS[side.decision]
    forced = failure.any_score is not None
    return {
        "decision": decision,
        "words": WORDS[decision],
        "rule": RULE_WORDS[RULES[side.rule]],
        "score": f"{failure.any_score} (whatever the points say)" if forced else str(side.score),
        "fired": here if len(sides) > 1 else [],
    }


def _differing(protocol: Protocol, failure: Failure) -> Iterator[list[str]]:
    first, second = failure.first, failure.second
    if first is None or second is None:
        return
    for name in failure.differing:
        unknown = name == failure.unknown
        after = "not known" if unknown else shown(protocol, name, second.facts[name])
        yield [INPUTS[name].label, shown(protocol, name, first.facts[name]), after]


def _shared(protocol: Protocol, failure: Failure) -> Iterator[list[str]]:
    """Whatever is not at its most harmless, and the configuration."""
    assert failure.first is not None  # noqa: S101 - asked only of failures with a situation
    differing = failure.differing if failure.second else ()
    for name, value in failure.first.facts.items():
        if name not in differing and (isinstance(INPUTS[name], Configuration) or value != best_of(name)):
            yield [INPUTS[name].label, shown(protocol, name, value)]
