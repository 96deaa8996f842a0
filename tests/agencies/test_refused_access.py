"""Every refused access by somebody signed in is in the log; reading the log is for few, and is itself logged."""

import json

import pytest
from django.core.cache import cache
from django.urls import reverse

from opsrisk.agencies import refused_access
from opsrisk.ledger.models import Entry
from tests.operations.sending import adopt_baseline, received


@pytest.fixture(autouse=True)
def _nothing_counted():
    cache.clear()


def refusals():
    return [
        (entry.actor_name, json.loads(entry.detail)) for entry in Entry.objects.filter(verb="refused").order_by("index")
    ]


def test_what_a_role_may_not_do_is_logged(cast, as_person):
    """A member at the chief's page: 403, with path and method, under the member's own agency."""
    assert as_person(cast.diver).get(reverse("review")).status_code == 403
    assert refusals() == [("Mara Quill", {"method": "GET", "path": "/review/", "status": 403})]
    assert Entry.objects.get(verb="refused").agency_id == cast.agency.pk


def test_a_neighbours_thing_by_its_id_is_logged(cast, as_person):
    """A neighbour who tries an operation's address: 404, on the desk and in the API, and both are in the log."""
    adopt_baseline(cast)
    stored = received(cast)
    browser = as_person(cast.neighbour_chief)
    for name, of in (
        ("operation", stored.operation_id),
        ("api_assessment", stored.pk),
        ("archives", stored.operation_id),
    ):
        assert browser.get(reverse(name, args=[of])).status_code == 404
    assert [detail["status"] for _, detail in refusals()] == [404] * 3
    assert {who for who, _ in refusals()} == {"Sol Hartmann"}


def test_the_api_refuses_into_the_log(cast, as_person):
    """What the API answers with 403 is no less an attempt."""
    assert as_person(cast.diver).get(reverse("api_ledger_head")).status_code == 403
    assert [detail["path"] for _, detail in refusals()] == [reverse("api_ledger_head")]


def test_strangers_and_mistyped_addresses_do_not_fill_the_log(cast, as_person):
    """Who is not signed in is sent to sign in; an address that is nobody's thing is nobody's secret."""
    as_person(None).get(reverse("review"))
    as_person(cast.diver).get("/no/such/page/")
    assert refusals() == []


def test_one_person_cannot_fill_the_log(cast, as_person, monkeypatch, caplog):
    """From a number in an hour on, the server's own log takes the rest."""
    monkeypatch.setattr(refused_access, "MOST_AN_HOUR", 3)
    browser = as_person(cast.diver)
    for _ in range(5):
        assert browser.get(reverse("review")).status_code == 403
    assert len(refusals()) == 3
    assert caplog.text.count("refused GET /review/") == 2


def test_a_forged_path_makes_no_forged_entry(cast, as_person):
    """Line breaks and control characters in an address stay one entry's text."""
    as_person(cast.diver).get("/review/?x=%0d%0aentry")
    (entry,) = Entry.objects.filter(verb="refused")
    assert "\n" not in entry.detail


def test_reading_the_log_is_for_few_and_is_logged(cast, as_person):
    """Chief and safety officer; each look, with what was looked for. Others are refused, which is logged, too."""
    adopt_baseline(cast)
    page = as_person(cast.chief).get(reverse("log"), {"verb": "adopt_protocol"})
    assert page.status_code == 200
    assert "adopt protocol" in page.content.decode()
    (look,) = Entry.objects.filter(verb="read_log")
    assert (look.actor, json.loads(look.detail)) == (str(cast.chief.pk), {"page": "1", "verb": "adopt_protocol"})
    assert as_person(cast.supervisor).get(reverse("log")).status_code == 403
    assert len(refusals()) == 1


def test_the_log_shows_nothing_of_a_neighbour(cast, as_person):
    """Each agency reads its own entries."""
    as_person(cast.diver).get(reverse("review"))
    assert "Mara Quill" in as_person(cast.chief).get(reverse("log")).content.decode()
    assert "Mara Quill" not in as_person(cast.neighbour_chief).get(reverse("log")).content.decode()


def test_a_filter_that_is_too_long_is_named(cast, as_person):
    """Bad input: the field and what is accepted."""
    answer = as_person(cast.chief).get(reverse("log"), {"verb": "x" * 65})
    assert answer.status_code == 422
    assert "64" in answer.content.decode()
