"""POST /api/v1/assess/: the same decision as anywhere, and nothing stored."""

import json
from datetime import timedelta

import pytest
from django.utils import timezone
from jsonschema import Draft202012Validator

from opsrisk.assessment.assess import assess
from opsrisk.assessment.schemas import decision_schema
from opsrisk.assessment.situation import read_situation
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Assessment, Operation
from opsrisk.protocols.shipped import baseline
from tests.operations.sending import situation

URL = "/api/v1/assess/"


def post(browser, document):
    content = document if isinstance(document, bytes) else json.dumps(document).encode()
    return browser.post(URL, content, content_type="application/json")


def test_it_decides_as_the_engine_does_and_stores_nothing(crew, as_person):
    """The document is valid against the published schema."""
    browser = as_person(crew.diver)
    before = Entry.objects.count()
    answer = post(browser, situation())
    assert answer.status_code == 200
    assert answer.json() == assess(read_situation(json.dumps(situation())), baseline())
    Draft202012Validator(decision_schema()).validate(answer.json())
    assert (Entry.objects.count(), Assessment.objects.count(), Operation.objects.count()) == (before, 0, 0)


@pytest.mark.parametrize(
    "document, field",
    [
        (b" ", "document"),
        (b"[1]", "document"),
        (situation(format="x"), "format"),
        (situation(readings__depth={"value": "-1", "unit": "m"}), "readings.depth.value"),
        (situation(readings__depth={"value": "1", "unit": "cubit"}), "readings.depth.unit"),
        (situation(colour="red"), "colour"),
        (situation(assessed_at=(timezone.now() + timedelta(days=30)).isoformat()), "assessed_at"),
        (b'{"format": "opsrisk.situation/1", "format": "opsrisk.situation/1"}', "document"),
        (b'{"format": NaN}', "document"),
    ],
)
def test_a_bad_document_is_refused_by_field(crew, as_person, document, field):
    """400, in the one shape."""
    answer = post(as_person(crew.diver), document)
    assert answer.status_code == 400
    assert field in [error["field"] for error in answer.json()["errors"]]


def test_without_a_protocol_nothing_is_decided(cast, as_person):
    """404, and what is missing."""
    answer = post(as_person(cast.diver), situation())
    assert answer.status_code == 404
    assert answer.json()["errors"][0]["accepted"].startswith("protocol:")


def test_a_stranger_gets_no_decision(crew, as_person):
    """Sign in first."""
    assert post(as_person(None), situation()).status_code == 401


def test_an_engine_fault_is_never_a_decision(crew, as_person, monkeypatch):
    """503, and no word of permission."""
    monkeypatch.setattr("opsrisk.assessment.assess._assess", lambda *_: 1 / 0)
    answer = post(as_person(crew.diver), situation())
    assert answer.status_code == 503
    assert "decision" not in answer.json()
    assert "cannot assess" in answer.json()["errors"][0]["accepted"]
