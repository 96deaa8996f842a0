"""Computations over the API: the list, what one asks, its answer, its refusals."""

import json

import pytest

from opsrisk.agencies import actions
from opsrisk.assessment.computations.registry import COMPUTATIONS, compute
from tests.assessment.computing import example
from tests.cast import NOON

ROOT = "/api/v1/computations/"


def post(browser, name, document):
    text = document if isinstance(document, str) else json.dumps(document)
    return browser.post(f"{ROOT}{name}/", text, content_type="application/json")


def test_lists_every_computation(crew, as_person):
    """With the question that each answers."""
    listed = as_person(crew.diver).get(ROOT).json()
    assert [one["name"] for one in listed] == list(COMPUTATIONS)


@pytest.mark.parametrize("name", COMPUTATIONS)
def test_says_what_each_asks(crew, as_person, name):
    """Inputs, answers and the schema of the input."""
    said = as_person(crew.diver).get(f"{ROOT}{name}/").json()
    assert [one["name"] for one in said["inputs"]] == [one.name for one in COMPUTATIONS[name].asks]
    assert said["schema"]["additionalProperties"] is False


def test_answers_as_the_function_does(crew, as_person):
    """The same document, whoever of the agency asks."""
    answer = post(as_person(crew.diver), "turn_pressure", example("turn_pressure"))
    assert answer.status_code == 200
    assert answer.json() == compute("turn_pressure", json.dumps(example("turn_pressure")))


def test_takes_a_station_by_its_id(crew, as_person):
    """As the server knows it."""
    station = example("station_current")["station"]
    actions.load_stations(stations=[station], by=None, at=NOON)
    answer = post(as_person(crew.diver), "station_current", example("station_current", station=station["id"]))
    assert answer.json()["answers"][0]["value"]


@pytest.mark.parametrize(
    ("document", "field"),
    [
        ({}, "range"),
        ({"range": {"value": "1", "unit": "kg"}}, "range.unit"),
        ("{", "document"),
        ("[]", "document"),
        ('{"range": {"value": "1", "unit": "m"}, "range": {"value": "2", "unit": "m"}}', "document"),
    ],
)
def test_refuses_by_field(crew, as_person, document, field):
    """400 with field, given and accepted."""
    answer = post(as_person(crew.diver), "sonar_detail", document)
    assert answer.status_code == 400
    assert field in {error["field"] for error in answer.json()["errors"]}


def test_no_stop_is_refused_in_words_until_adopted(crew, as_person):
    """The shipped tool gives no time without stops."""
    answer = post(as_person(crew.diver), "no_stop", example("no_stop", adoption=None))
    assert answer.status_code == 400
    assert "named person" in answer.json()["errors"][0]["accepted"]


def test_an_unknown_computation_is_not_there(crew, as_person):
    """404, reading or asking."""
    browser = as_person(crew.diver)
    assert browser.get(ROOT + "depth_of_ocean/").status_code == 404
    assert post(browser, "depth_of_ocean", {}).status_code == 404


def test_only_the_signed_in_compute(crew, as_person):
    """A stranger is told to sign in; a form is no document."""
    assert post(as_person(None), "lift", example("lift")).status_code == 401
    form = as_person(crew.diver).post(f"{ROOT}lift/", {"mass": "1"})
    assert form.status_code == 415
