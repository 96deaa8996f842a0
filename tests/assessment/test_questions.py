"""Every field of the situation is asked once, in the engine's own values, in order from harmless to worst."""

import json
from fractions import Fraction

import pytest

from opsrisk.assessment.fields import SHAPE, Choice, Group, Measure
from opsrisk.assessment.questions import SCREENS, questions
from opsrisk.assessment.situation import SituationRefused, read_situation
from opsrisk.engine.inputs import INPUTS, Category, Quantity
from opsrisk.reference.units import to_si

QUESTIONS = [question for screen in SCREENS for question in screen.questions]
# Filled from the kit list, from the place or by the tablet itself, never asked for.
NOT_ASKED = {
    "format", "assessed_at", "site.latitude", "site.longitude", "site.altitude", "site.window_ends", "site.window_source",
    "vehicle.depth_rating", "vehicle.tether_length", "vehicle.tether_out", "vehicle.thrust", "vehicle.drag_area",
    "vehicle.tether_diameter", "vehicle.imaging_sonar", "vehicle.current_limit",
}  # fmt: skip


def fields(group=SHAPE, path=""):
    for name, shape in group.fields.items():
        here = f"{path}.{name}" if path else name
        if isinstance(shape, Group) and here.split(".")[0] != "positions":
            yield from fields(shape, here)
        elif here == "positions":
            yield from (f"positions.{position}" for position in shape.fields)
        else:
            yield here


def shape_of(path):
    found = SHAPE
    for name in path.split("."):
        found = found.fields[name]
    return found


def test_every_field_is_asked_exactly_once():
    """What the situation can hold and nobody fills in otherwise has one question, and one only."""
    asked = [question.field for question in QUESTIONS]
    assert len(asked) == len(set(asked))
    assert set(asked) - {"site", "vehicle"} == set(fields()) - NOT_ASKED


@pytest.mark.parametrize("question", [q for q in QUESTIONS if q.kind == "choice"], ids=lambda q: q.field)
def test_choices_are_the_fields_own(question):
    """No answer can be given that the reader would refuse, and none is missing."""
    shape = shape_of(question.field)
    assert isinstance(shape, Choice)
    assert {choice.value for choice in question.choices} == set(shape.values)


@pytest.mark.parametrize(
    "question", [q for q in QUESTIONS if isinstance(INPUTS.get(q.field), Category)], ids=lambda q: q.field
)
def test_choices_stand_from_harmless_to_worst(question):
    """The order of the tiles is the engine's order."""
    assert [choice.value for choice in question.choices] == list(INPUTS[question.field].values)


@pytest.mark.parametrize("question", [q for q in QUESTIONS if q.scale], ids=lambda q: q.field)
def test_units_and_bands_are_ones_that_the_reader_takes(question):
    """A number that the tablet lets through is never refused later, in any of the units on offer."""
    shape = shape_of(question.field)
    assert isinstance(shape, Measure)
    low, high = (to_si(bound, question.scale.unit) for bound in question.scale.possible)
    assert shape.lowest <= low < high <= shape.highest
    assert {unit for unit, _, _ in question.scale.offered} <= set(shape.units)
    item = INPUTS.get(question.field)
    assert item is None or isinstance(item, Quantity)


def test_the_edges_of_the_bands_are_read():
    """Both ends of the possible band, as the tablet shows them, go through the reader in every unit."""
    for screen in questions():
        for question in screen["questions"]:
            for unit in question["units"]:
                for bound in unit["possible"]:
                    read_situation(json.dumps(one_quantity(question["field"], bound, unit["unit"])))


def test_beyond_the_domain_the_reader_refuses():
    """The tablet's refusal is not the only one."""
    with pytest.raises(SituationRefused):
        read_situation(json.dumps(one_quantity("readings.water_temperature", "60", "C")))


def one_quantity(field, value, unit):
    document = {"format": "opsrisk.situation/1", "assessed_at": "2026-11-25T14:05:00-05:00"}
    place = document
    *groups, name = field.split(".")
    for group in groups:
        place = place.setdefault(group, {})
    place[name] = {"value": value, "unit": unit}
    return document


def test_usual_lies_within_possible():
    """What is read back is something that could be."""
    for question in QUESTIONS:
        if question.scale:
            low, high = map(Fraction, question.scale.possible)
            usual_low, usual_high = map(Fraction, question.scale.usual)
            assert low <= usual_low < usual_high <= high, question.field


def test_conditions_name_questions_that_come_before():
    """A question depends only on an answer that has been given by then."""
    seen = set()
    for question in QUESTIONS:
        if question.when:
            assert question.when[0] in seen, question.field
        seen.add(question.field)


def test_screens_are_small_and_say_why():
    """At most three questions a screen, each screen with its reason."""
    for screen in SCREENS:
        assert 1 <= len(screen.questions) <= 3
        assert len(screen.why.split()) >= 5
    ids = [screen.id for screen in SCREENS]
    assert len(ids) == len(set(ids))


def test_the_list_is_json():
    """The tablet gets it as it is."""
    assert json.loads(json.dumps(questions())) == questions()
