"""POST /api/v1/records/: the tablet's outbox ends here."""

import pytest
from django.test import Client

from opsrisk.operations.models import Assessment, Receipt
from tests.operations.sending import body, record, sign, signed

URL = "/api/v1/records/"


def post(browser, content, key="k1", **headers):
    wanted = {"Idempotency-Key": key} if key is not None else {}
    return browser.post(URL, content, content_type="application/json", headers=wanted | headers)


def test_a_record_is_created_and_its_repetition_answered_alike(crew, as_person):
    """201 both times, word for word, the second marked as replayed."""
    browser = as_person(crew.supervisor)
    first, second = post(browser, signed(crew)), post(browser, signed(crew))
    assert (first.status_code, second.status_code) == (201, 201)
    assert first.content == second.content
    assert ("Idempotent-Replayed" in first, second["Idempotent-Replayed"]) == (False, "true")
    assert first.json()["digest"] == Assessment.objects.get().digest


def test_a_missing_key_is_400(crew, as_person):
    """The header is named."""
    answer = post(as_person(crew.supervisor), signed(crew), key=None)
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["field"] == "Idempotency-Key"


def test_a_key_with_another_body_is_422(crew, as_person):
    """The first record stands."""
    browser = as_person(crew.supervisor)
    post(browser, signed(crew))
    assert post(browser, signed(crew, number=2)).status_code == 422


def test_while_the_first_is_running_it_is_409(crew, as_person, settings):
    """With a hint when to try again."""
    content = signed(crew)
    browser = as_person(crew.supervisor)
    post(browser, content)
    from django.utils import timezone

    Receipt.objects.update(status=None, started_at=timezone.now())
    answer = post(browser, content)
    assert (answer.status_code, answer["Retry-After"]) == (409, "1")


def test_a_refused_record_is_400_with_every_field(crew, as_person):
    """Field, given, accepted; nothing is stored."""
    made = record(crew) | {"revision": 0}
    answer = post(as_person(crew.supervisor), body(made, sign(made, crew.supervisor)))
    assert answer.status_code == 400
    assert answer.json() == {
        "errors": [{"field": "record.revision", "given": "0", "accepted": "a whole number from 1 to 10000"}]
    }
    assert not Assessment.objects.exists()


def test_names_written_twice_are_refused(crew, as_person):
    """A parser that keeps the last one would sign for the other."""
    content = signed(crew).replace(b'{"record":', b'{"signatures":[],"record":', 1)
    answer = post(as_person(crew.supervisor), content)
    assert answer.status_code == 400
    assert "written twice" in answer.json()["errors"][0]["given"]


@pytest.mark.parametrize("who, status", [(None, 401), ("diver", 403), ("safety", 403), ("installer", 403)])
def test_others_send_nothing(crew, as_person, who, status):
    """In the one shape of errors."""
    answer = post(as_person(crew.people[who] if who else None), signed(crew))
    assert answer.status_code == status
    assert answer.json()["errors"]
    assert not Assessment.objects.exists()


def test_a_forged_request_from_another_site_is_refused(crew):
    """A session alone is not enough; the tablet sends its token in a header and is let in."""
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(crew.supervisor, backend="allauth.account.auth_backends.AuthenticationBackend")
    assert post(browser, signed(crew)).status_code == 403
    token = browser.get("/tablet/session.json").json()["csrf"]
    assert post(browser, signed(crew), **{"X-CSRFToken": token}).status_code == 201


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "", "application/jsonx"])
def test_only_json_is_taken(crew, as_person, kind):
    """Anything else is 415."""
    answer = as_person(crew.supervisor).post(URL, signed(crew), content_type=kind, headers={"Idempotency-Key": "k1"})
    assert answer.status_code == 415


def test_an_oversized_body_is_refused(crew, as_person):
    """Before it is read."""
    assert post(as_person(crew.supervisor), b" " * (3 * 1024 * 1024)).status_code == 413
    assert post(as_person(crew.supervisor), b" " * (1024 * 1024 + 1)).status_code == 400


def test_the_receipt_says_which_signatures_were_verified(crew, as_person):
    """So that the tablet can drop 'awaiting server'."""
    made = record(crew)
    content = body(made, sign(made, crew.supervisor), sign(made, crew.diver, "briefed"))
    verified = post(as_person(crew.supervisor), content).json()["verified"]
    assert verified == [
        {"person": str(crew.supervisor.pk), "meaning": "decided"},
        {"person": str(crew.diver.pk), "meaning": "briefed"},
    ]


def test_an_engine_that_cannot_assess_is_503_and_stores_nothing(crew, as_person, monkeypatch):
    """The tablet keeps the record and tries again."""
    monkeypatch.setattr("opsrisk.assessment.assess._assess", lambda *_: 1 / 0)
    answer = post(as_person(crew.supervisor), signed(crew))
    assert answer.status_code == 503
    assert not Assessment.objects.exists()
    monkeypatch.undo()
    assert post(as_person(crew.supervisor), signed(crew)).status_code == 201
