"""The published JSON Schemas are valid, accept what the readers accept, and refuse most of what they refuse."""

import json
from random import Random

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError

from opsrisk.assessment.assess import assess
from opsrisk.assessment.schemas import SCHEMAS, situation_schema
from opsrisk.assessment.situation import SituationRefused, read_situation
from opsrisk.protocols.shipped import baseline
from opsrisk.review.investigations import CASES
from tests.engine.protocols import changed, document
from tests.engine.test_protocol_refusals import BROKEN
from tests.random_situations import random_document
from tests.situations import cases
from tests.situations import document as situation_document

PUBLISHED = json.loads(CASES.read_text())
# Faults that no schema of this kind can state: numbers against each other, names used twice, unit against input.
ONLY_READ = (
    "[0].id",
    "lines",
    "recheck",
    "settings",
    "domain",
    "unit",
    "points",
    "waiver",
    "spread",
    "when",
    "effective",
)


@pytest.fixture(scope="module", params=SCHEMAS)
def schema(request):
    return SCHEMAS[request.param]()


def validator(name):
    return Draft202012Validator(SCHEMAS[name](), format_checker=Draft202012Validator.FORMAT_CHECKER)


def test_schema_is_a_schema(schema):
    """Each is valid under its own metaschema, and names itself."""
    Draft202012Validator.check_schema(schema)
    assert schema["$id"].startswith("opsrisk.")


def test_schema_is_plain_json(schema):
    """It can be served as it is and comes back the same."""
    assert json.loads(json.dumps(schema)) == schema


@pytest.mark.parametrize("case", PUBLISHED, ids=[case["id"] for case in PUBLISHED])
def test_published_case_is_valid(case):
    """The situations of published investigations, and the decisions on them, follow the published schemas."""
    validator("situation").validate(case["situation"])
    validator("decision").validate(assess(read_situation(json.dumps(case["situation"])), baseline()))


@pytest.mark.parametrize("case", cases(), ids=lambda case: case["name"])
def test_readable_situation_is_valid(case):
    """So do those written for safety officers."""
    made = situation_document(case["base"], case.get("vehicle", "none in the kit"), **case.get("given", {}))
    validator("situation").validate(made)
    validator("decision").validate(assess(read_situation(json.dumps(made)), baseline()))


def test_random_situations_and_their_decisions_are_valid():
    """A thousand random documents that the reader accepts; every tenth as it was read, and the decision on it."""
    situations, decisions, chance = validator("situation"), validator("decision"), Random(61)
    read = 0
    for place in range(1200):
        made = random_document(chance, known=chance.choice((0.7, 0.95, 1.0)))
        try:
            found = read_situation(json.dumps(made))
        except SituationRefused:
            continue
        read += 1
        situations.validate(made)
        if place % 10 == 0:
            situations.validate(found.document)
            decisions.validate(assess(found, baseline()))
    assert read >= 1000


def test_baseline_is_valid():
    """The shipped protocol follows the published schema."""
    validator("protocol").validate(document())


def test_broken_protocols_are_mostly_refused_by_the_schema_already():
    """Of the ways to be wrong that the reader refuses, an editor with the schema sees at least seven in ten at once."""
    seen = [not validator("protocol").is_valid(json.loads(changed(path, value))) for path, value, _ in BROKEN]

    assert sum(seen) >= 0.7 * len(BROKEN)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("format", "opsrisk.situation/2"),
        ("assessed_at", 5),
        ("weather", "fine"),
        ("hazards.entanglement", "some"),
        ("hazards.lightning", True),
        ("readings.current", 0.8),
        ("readings.current.unit", "ft"),
        ("readings.current.value", "0,8"),
        ("readings.current.value", [0.8]),
        ("readings.current.how", "guessed"),
        ("readings.speed", {"value": "1", "unit": "kn"}),
        ("positions.captain", {"filled": "yes"}),
        ("people", {"id": "ada"}),
        ("vehicle", "none"),
        ("vehicle.wings", "2"),
    ],
)
def test_wrong_situation_is_refused_by_schema_and_reader(path, value):
    """Names, words, units and types are stated by the schema as the reader takes them."""
    made = situation_document(vehicle="working")
    *above, last = path.split(".")
    found = made
    for name in above:
        found = found[name]
    found[last] = value

    with pytest.raises(ValidationError):
        validator("situation").validate(made)
    with pytest.raises(SituationRefused):
        read_situation(json.dumps(made))


def test_every_field_of_the_reader_is_in_the_schema():
    """The schema is made from the table that reads: a field added there is published at once."""
    properties = situation_schema()["properties"]
    readings = properties["readings"]["anyOf"][0]["properties"]

    assert {"format", "assessed_at", "task", "site", "readings", "hazards", "dive", "vehicle"} <= set(properties)
    assert readings["current"]["anyOf"][0]["properties"]["unit"] == {"enum": ["kn", "m/s", "ft/s", "km/h"]}
