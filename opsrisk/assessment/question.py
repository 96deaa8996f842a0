"""What a question is: one field of the situation, its words, and what counts as an answer."""

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from opsrisk.reference.units import UNITS, decimal_string


@dataclass(frozen=True)
class Choice:
    """One answer out of a few. Choices stand in order from harmless to worst."""

    value: str
    label: str
    words: str = ""


@dataclass(frozen=True)
class Scale:
    """The numbers that a question accepts, stated once in one unit and offered in several.

    Outside `possible` a number is refused: it cannot be. Outside `usual` it is read back in words and
    has to be confirmed: it is more often a slip by a factor of ten than a strange day. The bands are
    the agency's choice, from common practice, and decide nothing; limits stand in the protocol.
    """

    unit: str
    possible: tuple[str, str]
    usual: tuple[str, str]
    offered: tuple[tuple[str, str, int], ...]  # unit, its plain name, decimals that a person can read off


@dataclass(frozen=True)
class Question:
    """One field of the situation document, asked once."""

    field: str  # path in the situation, and the question's id
    kind: str  # reading, quantity, choice, ago, place, position, condition, vehicle
    label: str
    hint: str = ""
    choices: tuple[Choice, ...] = ()
    scale: Scale | None = None
    when: tuple[str, tuple[str, ...]] | None = None  # asked only if this field has one of these answers
    otherwise: str | None = ""  # what the situation says when not asked: "" leaves the field out
    offer: str = ""  # a computation that can propose this reading


@dataclass(frozen=True)
class Screen:
    """One question, or a tight group that trained people answer in one go."""

    id: str
    section: str
    title: str
    why: str
    questions: tuple[Question, ...]


YES_NO = (Choice("yes", "Yes"), Choice("no", "No"))


def scale_document(scale: Scale) -> list[dict[str, object]]:
    """`scale` in each unit it is offered in, with its bands as decimal strings, for the tablet."""
    return [
        {
            "unit": unit,
            "name": name,
            "places": places,
            "possible": _band(scale.possible, scale.unit, unit),
            "usual": _band(scale.usual, scale.unit, unit),
        }
        for unit, name, places in scale.offered
    ]


def question_document(question: Question) -> dict[str, object]:
    """`question` as plain JSON-ready data."""
    return {
        "field": question.field,
        "kind": question.kind,
        "label": question.label,
        "hint": question.hint,
        "choices": [{"value": c.value, "label": c.label, "words": c.words} for c in question.choices],
        "units": scale_document(question.scale) if question.scale else [],
        "when": {"field": question.when[0], "is": list(question.when[1])} if question.when else None,
        "otherwise": question.otherwise,
        "offer": question.offer,
    }


def _band(band: tuple[str, str], given: str, wanted: str) -> list[str]:
    """Both ends in another unit to four decimals, rounded inward: what is let through lies within the band."""
    low, high = (_converted(bound, given, wanted) * 10_000 for bound in band)
    return [_shown(ceil(low)), _shown(floor(high))]


def _converted(bound: str, given: str, wanted: str) -> Fraction:
    _, _, factor, offset = UNITS[given]
    _, _, wanted_factor, wanted_offset = UNITS[wanted]
    return (Fraction(bound) * factor + offset - wanted_offset) / wanted_factor


def _shown(ten_thousandths: int) -> str:
    text = decimal_string(Fraction(ten_thousandths, 10_000), 4)
    return text.rstrip("0").rstrip(".")
