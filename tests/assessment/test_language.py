"""What the program says is said in Spanish: every word of questions, protocol, decisions, plans and pictures."""

import json
import re
from collections.abc import Iterator
from html import unescape
from typing import Any

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.language import Language, as_written
from opsrisk.assessment.plan_calls import plan_asks_call, plan_call
from opsrisk.assessment.questions import questions
from opsrisk.assessment.situation import read_situation
from opsrisk.briefing.languages import catalogue
from opsrisk.engine.protocol import read_protocol
from opsrisk.protocols.shipped import BASELINE
from tests.assessment.planned import INPUTS, PROTOCOL, SITUATION
from tests.tablet.situations import situation

DRAWN = re.compile(r">([^<>]+)<")
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT(\d\d:\d\d)(:\d\d)?(Z|[+-]\d\d:\d\d)")
HOLE = re.compile(r"\{[nktvw][0-9]?\}")
# What the inputs of the plan call things: the words of whoever typed them.
TYPED = {
    "boat up-current",
    "boat down-current",
    "pier",
    "close work",
    "north piling",
    "Savannah River Entrance (Between Jetties)",
}


@pytest.fixture(scope="module")
def spanish() -> Language:
    return Language(catalogue("es"), tag="es", decimal=",")


def texts(document: Any, names: set[str]) -> Iterator[str]:
    """The texts under `names`, anywhere in `document`; lists of texts too."""
    if isinstance(document, dict):
        for name, value in document.items():
            own = value if isinstance(value, list) else [value]
            yield from (one for one in own if name in names and isinstance(one, str))
            yield from texts(value, names)
    elif isinstance(document, list | tuple):
        for value in document:
            yield from texts(value, names)


def unsaid(spanish: Language, found: Iterator[str]) -> set[str]:
    clocked = (MOMENT.sub(r"\1", text) for text in found)
    return {text for text in clocked if spanish.find(text) is None} - TYPED


def test_every_question_is_said(spanish):
    """Titles, reasons, labels, hints, choices and units of every question, of the assessment and of the plan; the cautions."""
    asked = json.loads(json.dumps(questions()))
    assert not unsaid(spanish, texts(asked, {"section", "title", "why", "label", "hint", "words", "name", "unit"}))
    asks = plan_asks_call({})
    units = [unit for unit in texts(asks, {"name", "unit"}) if "_" not in unit and unit in set(texts(asks, {"unit"}))]
    assert not unsaid(spanish, iter([*texts(asks, {"title", "question", "label", "hint", "words"}), *units, *CAUTIONS]))


def test_every_text_of_the_baseline_is_said(spanish):
    """Rules, controls, combinations, notes, waivers and what is not assessed."""
    protocol = json.loads(BASELINE.read_text())
    parts = [protocol[part] for part in ("rules", "controls", "combinations", "notes")]
    said = [*texts(parts, {"text"}), *protocol["waivers"].values(), *protocol["not_assessed"]]
    assert len(said) > 80
    assert not unsaid(spanish, iter(said))


DECISION = {"text", "reading", "limit", "label", "band", "now", "why", "valid_because", "words", "not_assessed", "unit"}


@pytest.mark.parametrize("tens", range(20))
def test_everything_that_a_decision_says_is_said(spanish, tens):
    """Readings, limits, bands, margins, reasons and ends of two hundred situations at random."""
    missing: set[str] = set()
    for seed in range(tens * 10, tens * 10 + 10):
        found = assess(read_situation(json.dumps(situation(seed))), read_protocol(PROTOCOL))
        chosen = [one["assumed"].replace("_", " ") for one in found["assumed"]]
        missing |= unsaid(spanish, iter([*texts(found, DECISION), *chosen]))
    assert not missing


PLAN = {
    "title",
    "headline",
    "method",
    "limits",
    "words",
    "from",
    "why",
    "error",
    "any_of",
    "accepted",
    "text",
    "warnings",
    "unit",
}


def said_by_a_plan(document: Any, inputs: Any) -> Iterator[str]:
    given = {"situation": json.dumps(document), "inputs": json.dumps(inputs) if inputs else None, "protocol": PROTOCOL}
    found = plan_call(given)
    yield from texts(found["plan"], PLAN)
    yield found.get("saved") or ""
    for number in found["plan"]["numbers"]:
        yield from (one["shown"] for one in number["inputs"])
        yield from (str(one["value"]) for one in number["answers"] if one["kind"] == "word")
    for drawn in found["pictures"].values():
        yield from (unescape(text) for text in DRAWN.findall(drawn))


@pytest.mark.parametrize("seed", [None, *range(0, 60, 3)])
def test_everything_that_a_plan_says_is_said(spanish, seed):
    """Headlines, answers, errors, methods, warnings, refusals, and every label and description of the pictures."""
    document = SITUATION if seed is None else situation(seed)
    missing = unsaid(spanish, said_by_a_plan(document, INPUTS)) | unsaid(spanish, said_by_a_plan(document, None))
    assert not missing


def test_the_catalogue_fills_each_hole_it_opens():
    """A translation uses the holes of its English, each at most twice there, and is never empty."""
    for english, said in catalogue("es").items():
        assert said.strip(), english
        assert set(HOLE.findall(said)) <= set(HOLE.findall(english)), english
        assert len(set(HOLE.findall(english))) == len(HOLE.findall(english)), english


def test_words_of_a_person_are_left_alone(spanish):
    """A name that is also a word of the catalogue, a number that somebody typed, and a code stay as they are."""
    assert spanish.say(f"{as_written('Hold 0.5')} signs: decided") == "Hold 0.5 firma: decidió"
    assert (
        spanish.say("Rules: " + as_written("baseline 1.0.0") + ", less than a day old")
        == "Reglas: baseline 1.0.0, de menos de un día"
    )
    assert Language().say(f"{as_written('Nothing')} signs: decided") == "Nothing signs: decided"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("0.9 kn", "0,9 kn"), ("-1.25", "-1,25"), ("1.0.0", "1.0.0"), ("v1.5", "v1.5"),
        ("1,000 m", "1\u00a0000 m"), ("0.5, 1.5", "0,5, 1,5"), ("Turn at 2.", "Turn at 2."), ("14:05", "14:05"),
    ],
)  # fmt: skip
def test_a_decimal_comma_stands_in_numbers_only(text, shown):
    """Versions keep their points; a comma between thousands would be read as a decimal one, so it goes."""
    assert Language(decimal=",").say(text) == shown


def test_an_unknown_text_is_shown_as_it_is_and_noted(spanish):
    """An agency's own words are never dropped or half said."""
    missed: list[str] = []
    heard = Language(catalogue("es"), tag="es", decimal=",", missed=missed.append)
    own = "Nobody dives off the old pier under 3.5 ft of water"
    assert heard.say(own) == own.replace("3.5", "3,5")
    assert missed == [own]
