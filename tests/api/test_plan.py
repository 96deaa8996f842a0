"""The plan over the API: under the protocol in force, nothing stored."""

import json

import pytest

from opsrisk.agencies import actions
from opsrisk.ledger.models import Entry
from tests.assessment.computing import EXAMPLES
from tests.assessment.planned import INPUTS, PROTOCOL, SITUATION, inputs, planned
from tests.cast import NOON


def post(browser, document):
    text = document if isinstance(document, str) else json.dumps(document)
    return browser.post("/api/v1/plan/", text, content_type="application/json")


def test_answers_as_the_function_does(crew, as_person):
    """The plan document, and not a line in the log."""
    browser = as_person(crew.diver)
    before = Entry.objects.count()
    answer = post(browser, {"situation": SITUATION, "inputs": INPUTS})
    assert answer.status_code == 200, answer.content
    assert answer.json() == planned(INPUTS, protocol=PROTOCOL)
    assert Entry.objects.count() == before


def test_a_situation_alone_is_enough(crew, as_person):
    """What is missing is listed."""
    assert post(as_person(crew.diver), {"situation": SITUATION}).json()["missing"]


def test_a_station_may_be_named_by_its_id(crew, as_person):
    """As the server knows it; an unknown one is refused by its field."""
    station = EXAMPLES["station_windows"]["station"]
    actions.load_stations(stations=[station], by=None, at=NOON)
    browser = as_person(crew.diver)
    named = {"situation": SITUATION, "inputs": inputs(station_windows__station=station["id"])}
    assert post(browser, named).json()["numbers"][0]["computation"] == "station_windows"
    nobody = {"situation": SITUATION, "inputs": inputs(station_windows__station="nobody's")}
    assert post(browser, nobody).json()["errors"][0]["field"] == "station"


@pytest.mark.parametrize(
    ("document", "field"),
    [
        ({}, "situation.document"),
        ({"situation": SITUATION, "protocol": {}}, "protocol"),
        ({"situation": SITUATION, "inputs": {"format": "x"}}, "inputs.format"),
        ({"situation": SITUATION | {"format": "x"}}, "situation.format"),
        ("[]", "document"),
        ("{", "document"),
    ],
)
def test_refuses_by_field(crew, as_person, document, field):
    """400, situation and inputs apart."""
    answer = post(as_person(crew.diver), document)
    assert answer.status_code == 400
    assert field in {error["field"] for error in answer.json()["errors"]}


def test_without_a_protocol_in_force_there_is_no_plan(cast, as_person):
    """404, in words."""
    answer = post(as_person(cast.diver), {"situation": SITUATION})
    assert answer.status_code == 404


def test_only_the_signed_in_plan(crew, as_person):
    """A stranger is told to sign in."""
    assert post(as_person(None), {"situation": SITUATION}).status_code == 401
