"""Everything worth saying, by stable id and in words, also where it did not decide."""

from collections.abc import Iterator, Mapping

from opsrisk.assessment.rescue import NOBODY, survival_window
from opsrisk.assessment.situation import Situation
from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.conditions import holds
from opsrisk.engine.decide import Outcome
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Fact, values


def flags_of(
    situation: Situation, protocol: Protocol, facts: Mapping[str, Fact], outcome: Outcome
) -> list[tuple[str, str]]:
    """(id, words), each id once, in the order in which the protocol and then the engine find them."""
    found: dict[str, str] = {}
    for flag, words in (*_from_protocol(protocol, facts, outcome), *_from_engine(situation, protocol, facts, outcome)):
        found.setdefault(flag, words)
    return list(found.items())


def _from_protocol(protocol: Protocol, facts: Mapping[str, Fact], outcome: Outcome) -> Iterator[tuple[str, str]]:
    at = values(facts, "value")
    owned = at["vehicle.owned"]
    for rule in (*protocol.rules, *protocol.controls):
        if rule.flag and outcome.fired[rule.id] and (owned or rule.effect != "vehicle_unable"):
            yield rule.flag, rule.text
    for note in protocol.notes:
        if holds(note.when, at, NUMBERS):
            yield note.flag, note.text


def _from_engine(
    situation: Situation, protocol: Protocol, facts: Mapping[str, Fact], outcome: Outcome
) -> Iterator[tuple[str, str]]:
    wanted = any(
        outcome.fired[rule.id]
        for rule in protocol.rules
        if rule.effect in ("stop_divers", "trigger", "trigger_that_holds")
    )
    if wanted and not facts["vehicle.owned"].value:
        yield "vehicle_unavailable", "No vehicle in the team's kit that could go first"
    if facts["task.gain"].value == NOBODY and not facts["task.gain"].open:
        yield "no_gain", "Nobody to save: nothing is gained by hurrying"
    window = survival_window(situation, protocol, facts["readings.water_temperature"])
    if window and situation.assessed_at > window.closes:
        yield "rescue_window_closed", "The survival window has closed: this is a recovery"
    if any(fact.state == "stale" for fact in facts.values()):
        yield "reading_stale", "A reading is too old to decide on: measure it again"
    if any(fact.state in ("unknown", "stale") for fact in facts.values()):
        yield "unknown_inputs", "Something is not known and was taken at its worst"
