"""Words, numbers and times as people read them, on a sheet and on a page; what a question says is taken from there."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from decimal import Decimal, InvalidOperation
from typing import Any

from opsrisk.assessment.ask_people import POSITIONS
from opsrisk.assessment.assess import WORDS as DECISIONS
from opsrisk.assessment.questions import SCREENS
from opsrisk.engine.inputs import INPUTS

SHORT = {
    "divers": "Divers",
    "divers_with_controls": "Divers with controls",
    "vehicle_first": "Vehicle first",
    "vehicle_only": "Vehicle only",
    "hold": "Hold",
}
CAUTION_ORDER = tuple(DECISIONS)
MEANINGS = {  # the weightiest first: whoever decided stands on page one
    "decided": "Decided",
    "overrode": "Agreed to less caution",
    "reviewed": "Reviewed",
    "briefed": "Briefed",
}
ROLES = {
    "supervisor": "dive supervisor",
    "member": "team member",
    "chief": "chief",
    "safety_officer": "safety officer",
}
TASKS = {"rescue": "Rescue", "recovery": "Recovery", "evidence": "Evidence", "object": "Object"}
POSITION_NAMES = {name: label for name, label, _ in POSITIONS}
CHOICES = {
    question.field: {choice.value: choice.label for choice in question.choices}
    for screen in SCREENS
    for question in screen.questions
}
QUESTION_LABELS = {question.field: question.label for screen in SCREENS for question in screen.questions}
ASKED = {
    path: place for place, path in enumerate(dict.fromkeys((*QUESTION_LABELS, *INPUTS)))
}  # the order of the questions
UNKNOWN = "unknown"
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # Crockford's base 32: no I, L, O, U to misread


def short_code(digest: str) -> str:
    """The first 50 bits of a hexadecimal digest as ten characters that survive a radio and a pencil."""
    bits = int(digest[:13], 16) >> 2
    return "".join(ALPHABET[(bits >> shift) & 31] for shift in range(45, -1, -5))


def decision_word(decision: str) -> str:
    """The decision in words; a name that this version does not know is printed as it came."""
    return DECISIONS.get(decision, decision)


def short_word(decision: str) -> str:
    """The decision's short name, for lists and tables; the band and the map's key print it in full."""
    return SHORT.get(decision, decision)


def input_label(name: str) -> str:
    """What an input is called, given its path or its last name ('current')."""
    for path in (
        name,
        *(f"{group}.{name}" for group in ("readings", "hazards", "dive", "support", "computed", "task")),
    ):
        if path in INPUTS:
            return INPUTS[path].label
        if path in QUESTION_LABELS:
            return QUESTION_LABELS[path].rstrip("?")
    return plain(name)


def choice_word(field: str, value: Any) -> str:
    """One answer in words: 'tended' of 'dive.line' is 'Tended'."""
    if value in (None, "", UNKNOWN):
        return "not known"
    return CHOICES.get(field, {}).get(str(value), _sentence(str(value)))


def in_order(group: str, given: Mapping[str, Any]) -> list[tuple[str, Any]]:
    """The entries of a group of the situation in the order of the questions, whatever order the record has them in."""
    return sorted(given.items(), key=lambda entry: (ASKED.get(f"{group}.{entry[0]}", len(ASKED)), entry[0]))


def plain(name: str) -> str:
    """A path's last name: 'flags.standby_not_ready' as 'Standby not ready'."""
    return _sentence(name.rsplit(".", 1)[-1])


def _sentence(text: str) -> str:
    words = text.replace("_", " ").strip()
    return words[:1].upper() + words[1:]


def number(value: Any) -> str:
    """A decimal string without idle zeros; anything else as it is."""
    try:
        found = Decimal(str(value))
    except InvalidOperation:
        return str(value)
    if not found.is_finite():
        return str(value)
    text = format(found, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def quantity(entry: Any) -> str:
    """A quantity with its unit: '0.8 kn'; 'not known' for what nobody knows."""
    if isinstance(entry, dict):
        if entry.get("value") in (None, UNKNOWN):
            return "not known"
        unit = entry.get("unit", "")
        return f"{number(entry['value'])} {unit}".strip()
    return "not known" if entry in (None, "", UNKNOWN) else number(entry)


def one_line(text: Any) -> str:
    """Free text with every run of spaces and line ends made one space."""
    return " ".join(str(text or "").split())


@dataclass(frozen=True)
class Clock:
    """One clock for a whole sheet or page: the offset in which the assessment was made."""

    zone: tzinfo
    day: str

    @classmethod
    def of(cls, iso: Any) -> "Clock":
        moment = _moment(iso) or datetime(1970, 1, 1, tzinfo=UTC)
        zone = timezone(moment.utcoffset() or timedelta(0))
        return cls(zone, moment.strftime("%d %b %Y"))

    def stamp(self, iso: Any) -> str:
        """Date and time: '25 Nov 2026 14:05'."""
        moment = _moment(iso)
        return moment.astimezone(self.zone).strftime("%d %b %Y %H:%M") if moment else one_line(iso) or "not known"

    def short(self, iso: Any) -> str:
        """The time alone on the day of the assessment, date and time on any other."""
        stamp = self.stamp(iso)
        return stamp.removeprefix(f"{self.day} ")

    @property
    def words(self) -> str:
        minutes = int((self.zone.utcoffset(None) or timedelta(0)).total_seconds()) // 60
        sign = "-" if minutes < 0 else "+"
        return f"All times 24-hour, UTC{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def _moment(iso: Any) -> datetime | None:
    try:
        moment = datetime.fromisoformat(str(iso))
    except ValueError:
        return None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
