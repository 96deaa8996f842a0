"""When a risk that stays goes to the incident commander by name, and what the commander has to say back.

It does where people go in and either less caution was chosen than was computed, or the score lies above the line that
the protocol draws where nobody can be saved: such a score is gone in on only because somebody may be saved, or after
the vehicle. No line is drawn here; both stand in the signed record. *Vehicle first* counts: the same sheet lets a
diver follow with no further signature in between, exposed to the same score.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from opsrisk.assessment import told
from opsrisk.assessment.words import CAUTION_ORDER, POSITION_NAMES, decision_word, one_line, short_word

Json = Mapping[str, Any]
ITEMS = ("decision", "risk", "gain")
ITEM_WORDS = {"decision": "Decision", "risk": "Risk", "gain": "Gain"}
OTHERS_BY = (10, -10, 20, 30)  # from the score, of other answers that sound likely
TOP_SCORE = 100


def needed(record: Json) -> bool:
    """Whether the briefing on this record waits for the incident commander."""
    return bool(reasons(record))


def reasons(record: Json) -> list[str]:
    """Why the commander is asked, in words; empty where nobody goes in, or at a risk that the protocol lets pass."""
    if not told.enters(record):
        return []
    found = []
    if _less_careful(record):
        found.append(f"Less caution was chosen than computed: {_computed_word(record)}")
    if _over(record):
        found.append(f"The score of {_score(record)} is over the line of {_line(record)} for nobody to save")
    return found


def to_say(record: Json) -> dict[str, str]:
    """The three things that the commander says back: decision, risk and gain as they stand on the sheet."""
    return {"decision": decision_word(told.chosen(record)), "risk": _risk(record), "gain": _gain(record)}


def choices(record: Json) -> dict[str, list[str]]:
    """For each item what might be said, sorted, so that its place gives the right one away to nobody."""
    right = to_say(record)
    return {
        "decision": told.mixed(right["decision"], [decision_word(name) for name in CAUTION_ORDER]),
        "risk": told.mixed(right["risk"], list(_other_risks(record))),
        "gain": told.mixed(right["gain"], list(told.GAINS)),
    }


def facts(record: Json, names: Mapping[str, str]) -> dict[str, str]:
    """What the commander acknowledged, by name: where one of these changes, it has to be acknowledged again."""
    found = {
        "decision": decision_word(told.chosen(record)),
        "computed": decision_word(_computed(record)),
        "score": _score_words(record),
        "gain": _gain(record) or "none",
    }
    for name, entry in told.positions(record).items():
        if name in told.IN_THE_WATER:
            found[POSITION_NAMES[name].lower()] = _who(record, entry, names)
    return found


def _who(record: Json, entry: Json, names: Mapping[str, str]) -> str:
    """Who goes in. Somebody without a name may be another person on each revision, and counts as one."""
    who = str(entry.get("person") or "")
    return names.get(who) or f"somebody without a name on revision {record.get('revision')}"


def _risk(record: Json) -> str:
    return _risk_words(record, _computed(record), _score(record) if _scored(record) else None)


def _other_risks(record: Json) -> Iterator[str]:
    """Risks that are not this one and contradict nothing else that is known."""
    least = _line(record) + 1 if _over(record) else 0
    for by in OTHERS_BY:
        if _scored(record) and least <= _score(record) + by <= TOP_SCORE:
            yield _risk_words(record, _computed(record), _score(record) + by)
    if _less_careful(record):
        yield from (_risk_words(record, name, record["decision"].get("score")) for name in reversed(CAUTION_ORDER))


def _risk_words(record: Json, computed: str, score: Any) -> str:
    parts = []
    if _less_careful(record):
        parts.append(f"less caution than computed, which was {short_word(computed).lower()}")
    if _scored(record):
        parts.append(f"score {score}, over the line of {_line(record)}" if _over(record) else f"score {score}")
    return "; ".join(parts) or "no score"


def _score_words(record: Json) -> str:
    if not _scored(record):
        return "none"
    return f"{_score(record)} with the line at {_line(record)}"


def _gain(record: Json) -> str:
    return one_line((record.get("brief") or {}).get("gain"))


def _less_careful(record: Json) -> bool:
    chosen, computed = told.chosen(record), _computed(record)
    known = chosen in CAUTION_ORDER and computed in CAUTION_ORDER
    return known and CAUTION_ORDER.index(chosen) < CAUTION_ORDER.index(computed)


def _computed(record: Json) -> str:
    return str(record["decision"]["decision"])


def _computed_word(record: Json) -> str:
    return short_word(_computed(record)).lower()


def _over(record: Json) -> bool:
    line = _line(record)
    return _scored(record) and isinstance(line, int) and _score(record) > line


def _line(record: Json) -> Any:
    """The line of the protocol that the record was decided under, as the record itself carries it."""
    return (record["decision"].get("lines") or {}).get("nobody_to_save")


def _scored(record: Json) -> bool:
    return isinstance(record["decision"].get("score"), int)


def _score(record: Json) -> int:
    return int(record["decision"]["score"])
