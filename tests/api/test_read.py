"""Reading: one's own agency's things, in pages, in one shape."""

import json

import pytest
from jsonschema import Draft202012Validator

from opsrisk.agencies import actions
from opsrisk.agencies.models import Site
from opsrisk.briefing.models import Sheet
from opsrisk.protocols.shipped import BASELINE
from tests.cast import NOON
from tests.operations.sending import received, situation


def get(browser, path, **query):
    answer = browser.get(f"/api/v1/{path}", query)
    return answer.status_code, answer.json()


def test_the_roster_names_active_people_and_what_checks_their_signatures(crew, as_person):
    """No address, no password, no neighbour."""
    actions.retire(person=crew.deputy, by=crew.chief, at=NOON)
    _, found = get(as_person(crew.diver), "people/")
    assert [one["name"] for one in found["results"]] == ["Ines Varga", "Lena Okafor", "Mara Quill", "Teo Brandt"]
    ines = found["results"][0]
    assert ines["signing"]["public_key"] == crew.supervisor.signing_public_key
    assert "example" not in json.dumps(found)
    assert set(ines) == {"id", "name", "role", "qualifications", "signing"}


def test_kit_and_sites_in_use(crew, as_person):
    """Quantities are decimal strings."""
    browser = as_person(crew.diver)
    _, vehicles = get(browser, "vehicles/")
    assert vehicles["results"][0]["thrust_n"] == "60.0"
    _, sites = get(browser, "sites/")
    assert (sites["results"][0]["name"], sites["results"][0]["lat"]) == ("Quarry basin", "45.500000")
    actions.retire_site(site=crew.site, by=crew.chief, at=NOON)
    assert get(browser, "sites/")[1]["results"] == []


def test_the_protocol_in_force_comes_to_the_letter(crew, cast, as_person):
    """With the digest that decisions name."""
    status, found = get(as_person(crew.diver), "protocols/in-force/")
    assert (status, found["document"]) == (200, BASELINE.read_text())
    assert get(as_person(crew.neighbour_chief), "protocols/in-force/")[0] == 404
    assert get(as_person(crew.diver), f"protocols/{found['id']}/")[1]["digest"] == found["digest"]


def test_operations_and_assessments(crew, as_person):
    """From list to whole record."""
    stored = received(crew)
    browser = as_person(crew.diver)
    _, operations = get(browser, "operations/")
    assert operations["results"][0]["assessments"] == [str(stored.pk)]
    assert get(browser, f"operations/{stored.operation_id}/")[1]["title"] == "Training at the quarry basin"
    _, whole = get(browser, f"assessments/{stored.pk}/")
    assert whole["record"] == json.loads(stored.record)
    assert whole["receipt"] == json.loads(stored.receipt)
    assert whole["signatures"][0]["at"] == "2026-06-01T14:00:00+00:00"


def test_assessments_of_one_operation(crew, as_person):
    """Asked for by its id; anything else is refused."""
    stored = received(crew)
    browser = as_person(crew.diver)
    assert get(browser, "assessments/", operation=stored.operation_id)[1]["count"] == 1
    assert get(browser, "assessments/", operation=crew.site.pk)[1]["count"] == 0
    status, wrong = get(browser, "assessments/", operation="x")
    assert (status, len(wrong["errors"])) == (400, 1)


def test_stations(crew, as_person):
    """Found by name and nearness; a bad place is refused by field."""
    given = [{"id": "TAR01", "name": "Tarrow Narrows", "lat": "45", "lon": "-120"}]
    actions.load_stations(stations=given, by=None, at=NOON)
    browser = as_person(crew.diver)
    assert get(browser, "stations/", lat="45.1", lon="-120")[1][0]["km"] == "11.1"
    assert get(browser, "stations/", q="narrows")[1][0]["km"] is None
    status, wrong = get(browser, "stations/", lat="95", lon="0")
    assert (status, wrong["errors"][0]["field"]) == (400, "lat")


def test_sheets(crew, as_person):
    """Of one's own agency."""
    Sheet.objects.create(assessment=received(crew), paper="a4", code="0123456789", made_at=NOON)
    assert get(as_person(crew.diver), "sheets/")[1]["results"][0]["code"] == "0123456789"
    assert get(as_person(crew.neighbour_chief), "sheets/")[1]["count"] == 0


def test_the_head_of_the_ledger_is_for_who_reads_the_ledger(crew, as_person):
    """To keep it elsewhere."""
    status, found = get(as_person(crew.chief), "ledger/head/")
    assert (status, found["format"]) == (200, "opsrisk.head/1")
    assert get(as_person(crew.supervisor), "ledger/head/")[0] == 403


def test_lists_come_in_pages(crew, as_person):
    """A page that is not there is 404, in the one shape."""
    Site.objects.bulk_create(Site(agency=crew.agency, name=f"Lock {number}", water="fresh") for number in range(150))
    browser = as_person(crew.diver)
    _, first = get(browser, "sites/")
    _, second = get(browser, "sites/", page=2)
    assert (first["count"], len(first["results"]), len(second["results"])) == (151, 100, 51)
    for nowhere in ("9", "0", "-1", "", "last", "x"):
        status, wrong = get(browser, "sites/", page=nowhere)
        assert (status, list(wrong)) == (404, ["errors"]), nowhere


@pytest.mark.parametrize("name", ["situation", "decision", "protocol"])
def test_schemas_are_published_for_everybody(db, client, name):
    """And are schemas."""
    answer = client.get(f"/schemas/{name}.json")
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/schema+json")
    Draft202012Validator.check_schema(answer.json())


def test_shipped_documents_are_valid_against_the_published_schemas(db, client):
    """Situation and protocol."""
    Draft202012Validator(client.get("/schemas/situation.json").json()).validate(situation())
    Draft202012Validator(client.get("/schemas/protocol.json").json()).validate(json.loads(BASELINE.read_text()))
    assert client.get("/schemas/secrets.json").status_code == 404


@pytest.mark.parametrize("path", ["/api/v1/nothing/", "/api/v1/operations/7/", "/api/v2/"])
def test_unknown_addresses_of_the_api_answer_in_the_one_shape(crew, as_person, path):
    """Programs parse JSON."""
    answer = as_person(crew.diver).get(path)
    assert (answer.status_code, list(answer.json())) == (404, ["errors"])


def test_a_method_that_is_not_there_says_which_are(crew, as_person):
    """405 with Allow."""
    answer = as_person(crew.diver).delete("/api/v1/operations/")
    assert (answer.status_code, answer["Allow"]) == (405, "GET, HEAD, OPTIONS")
    assert answer.json()["errors"]
