"""The one call: a situation and a protocol in, the decision document out.

Everything in the document is text, whole numbers, yes/no, lists and objects, so that its digest is the
same wherever it is made.
"""

from functools import lru_cache
from typing import Any

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.computed import facts_of, unknowns
from opsrisk.assessment.flags import flags_of
from opsrisk.assessment.record import digest
from opsrisk.assessment.situation import Situation
from opsrisk.assessment.validity import validity
from opsrisk.engine import VERSION
from opsrisk.engine.decide import RULES, Outcome
from opsrisk.engine.explain import controls, explain_rule, fired, point_lines, shown_margin, shown_value
from opsrisk.engine.inputs import DECISIONS, INPUTS, Quantity
from opsrisk.engine.margins import best_and_worst, decide_on, decision_map, flips, settles, unstated
from opsrisk.engine.parts import Protocol
from opsrisk.engine.readings import Fact, values

FORMAT = "opsrisk.decision/1"

WORDS = {
    "divers": "Divers may enter: no configured limit exceeded",
    "divers_with_controls": "Divers may enter once the controls are in place",
    "vehicle_first": "Vehicle first",
    "vehicle_only": "Vehicle only",
    "hold": "Hold",
}

RULE_WORDS = {
    "something_missing": "Something needed is missing and cannot be assumed",
    "stop_for_everybody": "A stop for everybody",
    "stop_for_divers": "A stop for divers",
    "vehicle_first_trigger": "A vehicle-first trigger, and nobody to save",
    "rescue_within_the_line": "A rescue with a survivable window, within the line for a rescue",
    "rescue_over_the_line": "A rescue, but over the line for a rescue",
    "controls_needed": "The score or a reading calls for controls",
    "no_configured_limit_exceeded": "No configured limit exceeded",
}

RULE_EFFECTS = {
    "something_missing": ("missing",),
    "stop_for_everybody": ("stop_everybody",),
    "stop_for_divers": ("stop_divers", "vehicle_unable"),
    "vehicle_first_trigger": ("trigger", "trigger_that_holds", "vehicle_unable"),
    "rescue_over_the_line": ("vehicle_unable",),
}

MAP_AXES = ("readings.current", "readings.visibility")


class CannotAssess(RuntimeError):
    """The engine failed. Nobody may take this for permission: there is no decision."""


def assess(situation: Situation, protocol: Protocol) -> dict[str, Any]:
    """The decision document of contract `opsrisk.decision/1` for `situation` under `protocol`.

    Raises CannotAssess if anything at all goes wrong: a fault in the engine is never a go.
    """
    try:
        return _assess(situation, protocol)
    except Exception as fault:
        raise CannotAssess(f"cannot assess: {type(fault).__name__}: {fault}") from fault


@lru_cache(maxsize=64)
def protocol_digest(protocol: Protocol) -> str:
    """The digest of the document that `protocol` was read from; worked out once for each protocol read."""
    return digest(protocol.document)


def _assess(situation: Situation, protocol: Protocol) -> dict[str, Any]:
    facts = facts_of(situation, protocol)
    outcome = decide_on(protocol, values(facts, "value"), unstated(facts))
    assumed = unknowns(facts)
    flags = flags_of(situation, protocol, facts, outcome)
    answer = {
        "format": FORMAT,
        "decision": DECISIONS[outcome.decision],
        "words": WORDS[DECISIONS[outcome.decision]],
        "score": outcome.score,
        "points": list(point_lines(protocol, outcome, facts)),
        "lines": {
            "divers": protocol.line_divers,
            "nobody_to_save": protocol.line_nobody_to_save,
            "rescue": protocol.line_rescue,
        },
        **_reasons(protocol, outcome, facts),
        "controls": _controls(protocol, outcome),
        "flags": [flag for flag, _ in flags],
        "flag_words": [{"id": flag, "text": text} for flag, text in flags],
        **_certainty(protocol, facts),
        "margins": _margins(protocol, facts, outcome),
        "assumed": [_assumed(fact) for fact in assumed],
        "not_assessed": [*protocol.not_assessed, *_left_out(facts)],
        "waivers": [{"id": fact.waiver, "text": protocol.waivers[fact.waiver]} for fact in assumed if fact.waiver],
        "map": _map(protocol, facts),
        **validity(situation, protocol, facts),
        "cautions": list(CAUTIONS),
        "protocol": {"id": protocol.id, "version": protocol.version, "digest": protocol_digest(protocol)},
        "engine": {"version": VERSION},
    }
    answer["digest"] = digest({"situation": situation.document, "protocol": answer["protocol"], "answer": answer})
    return answer


def _reasons(protocol: Protocol, outcome: Outcome, facts: dict[str, Fact]) -> dict[str, Any]:
    """What fired, each with reading, limit and source, and the one rule that decided."""
    at = values(facts, "value")
    rule = RULES[outcome.rule]
    # What a vehicle could not do here is of no interest to a team that has none.
    unable = ("vehicle_unable",) if at["vehicle.owned"] else ()
    shown = {
        "stops": ("missing", "stop_everybody", "stop_divers"),
        "triggers": ("trigger", "trigger_that_holds"),
        "vehicle": unable,
    }
    reasons: dict[str, Any] = {
        name: [explain_rule(each, at, facts) for each in fired(protocol, outcome, effects)]
        for name, effects in shown.items()
    }
    because = _because(protocol, outcome, rule, unable)
    return reasons | {"rule": {"id": rule, "text": RULE_WORDS[rule], "because": because}}


def _certainty(protocol: Protocol, facts: dict[str, Fact]) -> dict[str, Any]:
    """The decision at both ends of all bounds, and which reading would bring them together."""
    best, worst = best_and_worst(protocol, facts)
    settled = best.decision == worst.decision
    return {
        "settled": settled,
        "best": DECISIONS[best.decision],
        "worst": DECISIONS[worst.decision],
        "settle_by": None if settled else settles(protocol, facts),
    }


def _because(protocol: Protocol, outcome: Outcome, rule: str, unable: tuple[str, ...]) -> list[str]:
    """Ids of what made `rule` hold, and of what kept the vehicle from doing the work instead."""
    effects = [effect for effect in RULE_EFFECTS.get(rule, ()) if effect != "vehicle_unable" or unable]
    return [each.id for each in fired(protocol, outcome, tuple(effects))]


def _controls(protocol: Protocol, outcome: Outcome) -> list[dict[str, Any]]:
    """What must be in place before anyone enters; nothing where nobody does, nor for a vehicle that cannot work."""
    vehicle = ("vehicle",) if outcome.vehicle_able else ()
    serving = {
        "divers_with_controls": ("divers", *vehicle),
        "vehicle_first": ("divers", *vehicle),
        "vehicle_only": vehicle,
    }
    serves = serving.get(DECISIONS[outcome.decision], ())
    return [
        {"id": c.id, "text": c.text, "owner": c.owner, "serves": c.serves, "source": c.source.words}
        for c in controls(protocol, outcome)
        if c.serves in serves
    ]


def _margins(protocol: Protocol, facts: dict[str, Fact], outcome: Outcome) -> list[dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for flip in flips(protocol, facts, outcome.decision):
        unit = _unit(flip.input, facts)
        entry = found.setdefault(
            flip.input,
            {"input": flip.input, "label": INPUTS[flip.input].label, "now": facts[flip.input].shown, "unit": unit},
        )
        entry[flip.direction] = {
            "value": shown_margin(flip.input, flip.value, unit),
            "beyond": flip.beyond,
            "decision": DECISIONS[flip.decision],
        }
    return list(found.values())


def _unit(name: str, facts: dict[str, Fact]) -> str:
    """The unit in which the reading was given, or the first of its units."""
    item = INPUTS[name]
    if not isinstance(item, Quantity):
        return ""
    given = facts[name].shown.rsplit(" ", 1)[-1]
    return given if given in item.units else item.units[0]


def _assumed(fact: Fact) -> dict[str, Any]:
    unit = _unit(fact.name, {fact.name: fact})
    return {
        "input": fact.name,
        "label": INPUTS[fact.name].label,
        "why": "too old" if fact.state == "stale" else "not known",
        "assumed": "whichever is more cautious"
        if fact.open
        else f"{shown_value(fact.name, fact.value, unit)} {unit}".strip(),
        "waiver": fact.waiver or None,
    }


def _left_out(facts: dict[str, Fact]) -> list[str]:
    """Optional answers that were not given at all."""
    words = {
        "computed.gas_minutes": "Breathing gas: no cylinder was entered.",
        "computed.hours_awake": "Hours awake and earlier dives: no list of people was entered.",
    }
    return [text for name, text in words.items() if name in facts and facts[name].state == "not_applicable"]


def _map(protocol: Protocol, facts: dict[str, Fact]) -> dict[str, Any] | None:
    x, y = MAP_AXES
    if x not in facts or y not in facts:
        return None
    drawn = decision_map(protocol, facts, x, y)
    units = [_unit(name, facts) for name in (x, y)]
    return {
        "x": _axis(x, units[0], drawn.x_edges, facts[x]),
        "y": _axis(y, units[1], drawn.y_edges, facts[y]),
        "cells": [[DECISIONS[cell] for cell in row] for row in drawn.cells],
    }


def _axis(name: str, unit: str, edges: tuple[float, ...], fact: Fact) -> dict[str, Any]:
    low, high = sorted((fact.best, fact.worst))
    return {
        "input": name,
        "label": INPUTS[name].label,
        "unit": unit,
        "edges": [shown_value(name, edge, unit) for edge in edges],
        "known": fact.state == "given",
        "value": shown_value(name, fact.value, unit),
        "low": shown_value(name, low, unit),
        "high": shown_value(name, high, unit),
    }
