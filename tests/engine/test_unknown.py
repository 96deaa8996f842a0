"""Unknown is never better than any known value, and says what it was taken as."""

import json
from copy import deepcopy
from random import Random

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.computed import facts_of
from opsrisk.assessment.fields import SHAPE, Choice, Group, Measure
from opsrisk.assessment.situation import read_situation
from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.engine.margins import decide_on, unstated
from opsrisk.engine.readings import values
from opsrisk.protocols.shipped import baseline
from opsrisk.reference.units import from_si, to_si
from tests.random_situations import random_document
from tests.situations import document

# Waived by name in the baseline: until the team has walked out and measured, ice is taken at 4 inches.
WAIVED = "readings.ice_thickness"
# A vehicle's greatest current is known in two ways; knowing it in one is enough, so only one is left here at a time.
COMPUTED = (
    "vehicle.thrust",
    "vehicle.drag_area",
    "vehicle.tether_diameter",
    "vehicle.tether_length",
    "vehicle.tether_out",
)
STATED = "vehicle.current_limit"


def questions(shape=SHAPE, path=""):
    """Every answer of the situation that can be unknown: its path and its shape."""
    for name, below in shape.fields.items():
        field = f"{path}.{name}" if path else name
        if isinstance(below, Group):
            yield from questions(below, field)
        elif isinstance(below, Choice | Measure) and below.may_be_unknown:
            yield field, below


QUESTIONS = list(questions())


def put(made, path, value):
    *above, last = path.split(".")
    changed = deepcopy(made)
    found = changed
    for name in above:
        if not isinstance(found.get(name), dict):
            return None
        found = found[name]
    found[last] = value
    return changed


def decided(made):
    """Decision and score of a document, without the rest of the answer."""
    protocol = baseline()
    facts = facts_of(read_situation(json.dumps(made)), protocol)
    return decide_on(protocol, values(facts, "value"), unstated(facts))


def known_values(field, shape, chance):
    if isinstance(shape, Choice):
        return list(shape.values)
    ends = [shape.lowest, shape.highest, chance.uniform(shape.lowest, shape.highest)]
    return [in_a_unit_that_shows_it(end, shape) for end in ends]


def in_a_unit_that_shows_it(value, shape):
    """100 m is 328.084 ft and a little more: in feet it would be refused as out of range."""
    shown = [(from_si(value, unit, 4), unit) for unit in shape.units]
    text, unit = next((t, u) for t, u in shown if shape.lowest <= to_si(t, u) <= shape.highest)
    return {"value": text, "unit": unit, "how": "measured"}


@pytest.mark.parametrize(("field", "shape"), QUESTIONS, ids=[field for field, _ in QUESTIONS])
def test_unknown_is_never_better_than_a_known_value(field, shape):
    """For twenty random situations, each possible answer to one question decides no more cautiously than 'unknown'."""
    chance = Random(field)
    compared = 0
    for _ in range(20):
        made = random_document(chance, known=1.0, fair=0.95)
        if field in COMPUTED or field == STATED:
            made = put(made, STATED if field in COMPUTED else COMPUTED[0], "unknown") or made
        unknown = put(made, field, "unknown")
        if unknown is None or (field == WAIVED and made["hazards"]["ice_cover"] != "none"):
            continue  # no vehicle here to know anything about, or the waiver's case, tested below
        for value in known_values(field, shape, chance):
            assert decided(unknown).decision >= decided(put(made, field, value)).decision, value
            compared += 1
    assert compared


def test_the_waiver_is_the_one_exception_and_is_named():
    """Ice not yet measured is taken at the waiver's thickness, and the answer says so and asks for the measuring."""
    made = document("frozen lake")
    made["readings"]["ice_thickness"] = "unknown"

    decision = assess(read_situation(json.dumps(made)), baseline())

    assumed = {each["input"]: each for each in decision["assumed"]}
    assert assumed[WAIVED]["assumed"] == "10.2 cm"
    assert assumed[WAIVED]["waiver"] == "ice_not_yet_measured"
    assert [each["id"] for each in decision["waivers"]] == ["ice_not_yet_measured"]
    assert "ice_measured" in [each["id"] for each in decision["controls"]]


def test_unknown_readings_are_taken_at_the_worst_that_can_be_stated():
    """No domain of the baseline ends before what a situation may state: unknown cannot be better than a bad reading."""
    for name, rule in baseline().inputs.items():
        item = INPUTS[name]
        assert isinstance(item, Quantity)
        worst = rule.highest if item.worse == "higher" else rule.lowest
        assert worst == (item.highest if item.worse == "higher" else item.lowest), name


def test_everything_unknown_is_a_hold_that_names_every_question():
    """A situation that says nothing is held, and each answer to go and get is listed."""
    made = {"format": "opsrisk.situation/1", "assessed_at": "2026-06-12T10:00:00+00:00"}

    decision = assess(read_situation(json.dumps(made)), baseline())

    assert decision["decision"] == "hold"
    assert decision["settled"] is False
    assumed = {each["input"] for each in decision["assumed"]}
    asked = {name for name in facts_of(read_situation(json.dumps(made)), baseline()) if not name.startswith("computed")}
    assert asked - assumed == set()


def test_a_missing_answer_is_an_unknown_one():
    """Leaving a field out and writing 'unknown' decide alike."""
    said, left_out = document(), document()
    said["hazards"]["pressure_difference"] = "unknown"
    del left_out["hazards"]["pressure_difference"]

    assert decided(said).decision == decided(left_out).decision
    assert decided(said).score == decided(left_out).score
