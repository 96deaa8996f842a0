"""What makes a record acceptable: who signed it, whether an override is allowed, and where the server differs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from opsrisk.agencies.models import Person
from opsrisk.agencies.permissions import MAY
from opsrisk.agencies.refusals import LEAST_REASON, Refused
from opsrisk.assessment.record import canonical
from opsrisk.engine import VERSION
from opsrisk.engine.inputs import DECISIONS
from opsrisk.ledger import signing
from opsrisk.operations.records import Record, Signed

CLOCK_AHEAD = timedelta(days=1)  # a wrong zone or clock is at most a day
CAUTION = {decision: place for place, decision in enumerate(DECISIONS)}


def less_cautious(chosen: str, tool: str) -> bool:
    return CAUTION[chosen] < CAUTION[tool]


def check_signatures(
    record: Record, signatures: Sequence[Signed], people: Mapping[Any, Person], received_at: datetime
) -> list[Person]:
    """The signers, in order. Raises Refused unless each signature is its person's, on this record, and one decided."""
    errors: list[tuple[str, object, str]] = []
    signers = []
    for place, signed in enumerate(signatures):
        person = people.get(signed.person)
        if person is None:
            errors.append((f"signatures[{place}].person", signed.person, "a person of your agency"))
            continue
        signers.append(person)
        errors += [
            (f"signatures[{place}].{field}", given, ok)
            for field, given, ok in _faults(record, signed, person, received_at)
        ]
    acts = [(signed.person, signed.meaning) for signed in signatures]
    errors += [
        ("signatures", f"{who} {what} twice", "each once") for who, what in {a for a in acts if acts.count(a) > 1}
    ]
    if not any(signed.meaning == "decided" for signed in signatures):
        errors.append(("signatures", "nobody who decided", "a signature with the meaning decided"))
    if errors:
        raise Refused(*errors)
    return signers


def _faults(record: Record, signed: Signed, person: Person, received_at: datetime) -> list[tuple[str, object, str]]:
    faults: list[tuple[str, object, str]] = []
    if signed.record != record.digest:
        faults.append(("record", signed.record, f"the digest of the record, {record.digest}"))
    if signed.name != person.name:
        faults.append(("name", signed.name, f"the signer's name, {person.name}"))
    if signed.meaning == "decided" and person.role not in MAY["decide"]:
        faults.append(
            ("meaning", signed.meaning, f"one that a {person.get_role_display().lower()} may give: not decided")
        )
    if signed.at > received_at + CLOCK_AHEAD:
        faults.append(("at", signed.at_text, "a time that has come"))
    if not person.key_at(signed.public_key, signed.at):
        faults.append(("public_key", signed.public_key, f"a key that was {person.name}'s at that time"))
    elif not signing.verify_by(signed.public_key, signed.message(), signed.signature):
        faults.append(("signature", signed.signature, "one that holds for this record, person, meaning and time"))
    return faults


def check_override(
    record: Record, server: Mapping[str, Any], signatures: Sequence[Signed], people: Mapping[Any, Person]
) -> None:
    """More caution is always free. Less needs a reason and a second named person; an absolute stop is never passed."""
    _check_absolute(record, record.decision)
    if record.decision.get("engine") == {"version": VERSION}:
        # The same engine must find the same stops: a record that hides one is not the tool's answer.
        # An older engine's answer is kept and flagged instead, because it is what the crew had in hand.
        _check_absolute(record, server)
    if not less_cautious(record.chosen, record.decision["decision"]):
        return
    errors: list[tuple[str, object, str]] = []
    if len(record.reason.strip()) < LEAST_REASON:
        errors.append(("record.chosen.reason", record.reason, f"a reason of at least {LEAST_REASON} characters"))
    errors += _second_faults(record, signatures, people)
    if errors:
        raise Refused(*errors)


def _check_absolute(record: Record, decision: Mapping[str, Any]) -> None:
    absolute = [str(stop.get("id")) for stop in decision["stops"] if stop.get("absolute") is True]
    if absolute and less_cautious(record.chosen, decision["decision"]):
        stops = ", ".join(absolute)
        raise Refused(
            (
                "record.chosen.decision",
                record.chosen,
                f"{decision['decision']} or more caution: absolute stop ({stops})",
            )
        )


def _second_faults(
    record: Record, signatures: Sequence[Signed], people: Mapping[Any, Person]
) -> list[tuple[str, object, str]]:
    field = "record.chosen.second_person"
    second = people.get(record.second) if record.second else None
    if second is None:
        return [(field, record.second, "a second person of your agency, by name")]
    if second.role not in MAY["second"]:
        return [
            (field, second.name, "a person whose role may agree to less caution: " + ", ".join(sorted(MAY["second"])))
        ]
    if any(one.person == record.second and one.meaning == "decided" for one in signatures):
        return [(field, second.name, "somebody other than who decided")]
    if not any(one.person == record.second and one.meaning == "overrode" for one in signatures):
        return [("signatures", f"none by {second.name}", "the second person's signature with the meaning overrode")]
    return []


def differences(recorded: Mapping[str, Any], server: Mapping[str, Any]) -> list[str]:
    """The names of the parts of the decision document in which tablet and server differ."""
    names = sorted(recorded.keys() | server.keys())
    return [
        name for name in names if name not in recorded or name not in server or _differ(recorded[name], server[name])
    ]


def _differ(one: Any, other: Any) -> bool:
    return canonical(one) != canonical(other)
