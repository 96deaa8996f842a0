"""Every computation by its name: complete answers, strict inputs, ranges where nobody knows."""

import json
import random

import pytest
from jsonschema import Draft202012Validator

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.computations.describe import accepted, catalogue, described, input_schema
from opsrisk.assessment.computations.entry import Computation
from opsrisk.assessment.computations.reading import STEPS_OF_A_SPAN
from opsrisk.assessment.computations.refused import ComputationRefused
from opsrisk.assessment.computations.registry import COMPUTATIONS, compute
from opsrisk.assessment.computations.running import shown
from opsrisk.assessment.fields import Measure, Number
from opsrisk.assessment.record import canonical
from opsrisk.reference.units import UNITS, from_si
from tests.assessment.computing import EXAMPLES, answers, example, measures, q
from tests.house.reading import ROOT

NAMES = list(COMPUTATIONS)


def refused(name: str, document) -> list[tuple[str, str, str]]:
    with pytest.raises(ComputationRefused) as caught:
        compute(name, json.dumps(document) if isinstance(document, dict) else document)
    return caught.value.errors


def fields_of(errors) -> set[str]:
    return {field.partition(".")[0].partition("[")[0] for field, _, _ in errors}


def test_every_computation_has_an_example():
    """And no example is left of one that went."""
    assert set(EXAMPLES) == set(NAMES)
    assert [one["name"] for one in catalogue()] == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_answers_its_example_completely(name):
    """Every declared answer with its unit, a method, sources or none by name, a page that exists, the cautions."""
    entry = COMPUTATIONS[name]
    found = compute(name, json.dumps(example(name)))
    canonical(found)
    assert [one["name"] for one in found["answers"]] == [one.name for one in entry.answers]
    assert found["method"] == entry.method
    assert set(CAUTIONS) <= set(found["cautions"])
    assert (ROOT / found["page"]).is_file()
    assert all(one["words"] for one in found["answers"])


@pytest.mark.parametrize("name", NAMES)
def test_same_input_same_answer_to_the_byte(name):
    """From text, from bytes and from an object read before."""
    text = json.dumps(example(name))
    first = canonical(compute(name, text))
    assert canonical(compute(name, text.encode())) == first


@pytest.mark.parametrize("name", NAMES)
def test_feet_and_pounds_are_the_same_answer(name):
    """An agency that works in feet gets the same numbers, converted, to the last place shown."""
    entry = COMPUTATIONS[name]
    metric, us = (answers(name, units=units) for units in ("metric", "us"))
    for one in entry.answers:
        if one.kind == "quantity" and one.us and metric[one.name]["value"] is not None:
            value = shown_in(metric[one.name]["value"], one.unit, one.us[0])
            step = 10 ** -one.us[1] + abs(shown_in(str(10**-one.places), one.unit, one.us[0], offset=False))
            assert float(us[one.name]["value"]) == pytest.approx(value, abs=step)
            assert us[one.name]["unit"] == one.us[0]


def shown_in(value: str, unit: str, other: str, *, offset: bool = True) -> float:
    _, _, factor, zero = UNITS[unit]
    _, _, other_factor, other_zero = UNITS[other]
    si = float(value) * float(factor) + (float(zero) if offset else 0.0)
    return (si - (float(other_zero) if offset else 0.0)) / float(other_factor)


@pytest.mark.parametrize("name", NAMES)
def test_schema_takes_the_example_and_nothing_unknown(name):
    """The published schema is made from the entry: it takes what the reader takes and refuses what it refuses."""
    schema = input_schema(COMPUTATIONS[name])
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    assert not list(validator.iter_errors(example(name)))
    assert list(validator.iter_errors(example(name) | {"guess": 1}))
    assert fields_of(refused(name, example(name) | {"guess": 1})) == {"guess"}
    described(COMPUTATIONS[name])


def needed(entry: Computation) -> list[str]:
    return [one.name for one in entry.asks if not (one.setting or one.optional or one.is_ranged)]


@pytest.mark.parametrize("name", NAMES)
def test_what_is_needed_is_named_when_it_is_missing(name):
    """All of it at once, and the word unknown counts as missing."""
    wanted = set(needed(COMPUTATIONS[name]))
    if wanted:
        assert fields_of(refused(name, {})) == wanted
    for field in wanted:
        assert fields_of(refused(name, example(name, **{field: "unknown"}))) == {field}


@pytest.mark.parametrize(("name", "field", "shape"), measures(), ids=lambda part: part if isinstance(part, str) else "")
def test_outside_its_range_a_quantity_is_refused(name, field, shape):
    """Below the lowest and above the highest, with the range in the unit that was given."""
    for wrong in (shape.lowest - 1.0, shape.highest + max(1.0, abs(shape.highest) * 0.01)):
        given = q(from_si(wrong, shape.units[-1], 6), shape.units[-1])
        errors = refused(name, example(name, **{field: given}))
        assert fields_of(errors) == {field}
        assert " to " in errors[0][2]
        assert errors[0][2].endswith(shape.units[-1])


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ('{"range": {"value": "30", "unit": "furlong"}, "beam_spacing": {"value": "1", "unit": "deg"}}', "range.unit"),
        ('{"range": {"value": NaN, "unit": "m"}}', "document"),
        ('{"range": {"value": "1", "unit": "m"}, "range": {"value": "2", "unit": "m"}}', "document"),
        ('{"range": 30, "beam_spacing": {"value": "1", "unit": "deg"}}', "range"),
        ("[1, 2]", "document"),
        ("{", "document"),
        ('{"range": {"value": "9", "low": "10", "unit": "m"}, "beam_spacing": {"value": "1", "unit": "deg"}}', "range"),
    ],
)
def test_a_bad_document_is_refused_by_its_field(given, said):
    """A unit of another kind, a number that is none, a name twice, a bare number, bounds that cross."""
    assert said in {field for field, _, _ in refused("sonar_detail", given)}


def test_an_unknown_name_lists_those_there_are():
    """A wrong name is a refusal like any other."""
    with pytest.raises(ComputationRefused) as caught:
        compute("depth_of_ocean", "{}")
    assert "turn_pressure" in caught.value.errors[0][2]


def test_rows_are_read_as_strictly():
    """A row without what it needs, with bounds, or too few of them."""
    assert fields_of(refused("float_speed", {"runs": []})) == {"runs"}
    assert refused("float_speed", {"runs": [{"distance": q(10, "m")}]})[0][0] == "runs[0].time"
    unsure = {"distance": q(10, "m", low=9, high=11), "time": q(20, "s")}
    assert refused("float_speed", {"runs": [unsure]})[0][0] == "runs[0].distance"
    nobody = {"distance": {"value": "unknown", "unit": "m"}, "time": q(20, "s")}
    assert refused("float_speed", {"runs": [nobody]})[0][0] == "runs[0].distance"


def test_a_list_of_answers_has_no_range():
    """A limit with bounds would give a list of windows at each: refused, the field named."""
    errors = refused("station_windows", example("station_windows", limit=q(0.5, "kn", low=0.4, high=0.6)))
    assert fields_of(errors) == {"limit"}


def ranged() -> list[tuple[str, str]]:
    return [
        (entry.name, one.name)
        for entry in COMPUTATIONS.values()
        for one in entry.asks
        if one.is_ranged and not any(answer.kind == "rows" and not answer.drawn for answer in entry.answers)
    ]


@pytest.mark.parametrize(("name", "field"), ranged())
def test_the_range_holds_every_answer_inside(name, field):
    """What nobody knows gives a range that holds the answer to any value it may have."""
    ask = COMPUTATIONS[name].ask(field)
    open_ended = answers(name, **{field: "unknown"})
    chance = random.Random(f"{name} {field}")
    for _ in range(8):
        if isinstance(ask.shape, Measure):
            low, high = ask.span
            given = q(from_si(chance.uniform(low, high), ask.shape.si, 6), ask.shape.si)
        elif isinstance(ask.shape, Number):
            given = f"{chance.uniform(*ask.span):.4f}"
        else:
            given = chance.choice(ask.shape.values)
        for one, found in answers(name, **{field: given}).items():
            assert_inside(found, open_ended[one])


def assert_inside(found, open_ended):
    if found["kind"] == "quantity" and found["value"] is not None:
        assert open_ended["value"] is None
        assert float(open_ended["low"]) <= float(found["value"]) <= float(open_ended["high"])
    elif found["kind"] in ("word", "yes_no") and "any_of" in open_ended:
        assert found["value"] in open_ended["any_of"]


def test_bounds_give_the_answer_and_its_range():
    """With bounds there is a value, and the end to plan on is the careful one."""
    found = answers("turn_pressure", depth=q(12, "m", low=10, high=14))
    at = {depth: answers("turn_pressure", depth=q(depth, "m")) for depth in (10, 12, 14)}
    assert found["turn"]["value"] == at[12]["turn"]["value"]
    assert found["turn"]["plan_on"] == found["turn"]["high"] == at[14]["turn"]["value"]
    assert found["task"]["plan_on"] == found["task"]["low"] == at[14]["task"]["value"]


def test_too_much_unknown_at_once_is_refused():
    """Rather than hours of trying, or a range that says nothing."""
    kit = {name: q(1, "m", low=1, high=2) for name in ("length", "width", "vehicle_sweep", "diver_sweep")}
    more = {
        "vehicle_speed": q(0.2, "m/s", low=0.1, high=0.3), "diver_speed": q(0.2, "m/s", low=0.1, high=0.3),
        "bottom_time": q(20, "min", low=10, high=30), "between": q(5, "min", low=1, high=9),
    }  # fmt: skip
    errors = refused("search_effort", example("search_effort", **kit, **more))
    assert "length" in errors[0][0]
    assert "settle one first" in errors[0][2]


def test_usual_values_are_said_with_their_reason():
    """A setting that nobody gave is taken, named and explained; a given one is not."""
    taken = {one["input"]: one for one in compute("holding_limit", json.dumps(example("holding_limit")))["taken"]}
    assert taken["slack"]["state"] == "usual"
    assert taken["slack"]["why"]
    assert taken["depth"]["state"] == "given"


def test_rounding_goes_to_the_careful_side():
    """Up stays up and down stays down, but the last bit of a float is no reason for another unit."""
    assert (shown(10.01, "bar", 0, "up"), shown(10.99, "bar", 0, "down")) == ("11", "10")
    assert (shown(0.1 + 0.2, "m", 1, "up"), shown(0.7 - 0.4, "m", 1, "down")) == ("0.3", "0.3")
    assert shown(-2.5, "C", 0, "down") == "-3"
    assert STEPS_OF_A_SPAN >= 3


def test_words_of_what_is_accepted_name_range_and_units():
    """The list of inputs says what each may be."""
    words = {one.name: accepted(one) for one in COMPUTATIONS["turn_pressure"].asks}
    assert words["depth"] == "0 to 100 m (ft too)"
    assert words["water"] == "fresh, brackish, salt"
