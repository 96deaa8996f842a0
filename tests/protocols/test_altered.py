"""A stored protocol whose digest does not match decides nothing: not for a tablet, not for a record, not for a program."""

import json
from datetime import timedelta

import pytest
from django.db import connection

from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.assess import CannotAssess
from opsrisk.operations.models import Assessment, Receipt
from opsrisk.protocols import actions
from opsrisk.protocols.models import NotAsStored, ProtocolVersion, protocol_in_force
from opsrisk.protocols.places import Place
from opsrisk.protocols.shipped import BASELINE
from tests.cast import NOON
from tests.operations.sending import adopt_baseline, send, signed, situation
from tests.protocols.test_life_pages import prove


@pytest.fixture
def altered(cast):
    """The version in force, with one limit moved by whoever owns the database and sets its triggers aside."""
    version = adopt_baseline(cast)
    sqlite = connection.vendor == "sqlite"
    aside = (
        "DROP TRIGGER protocols_protocolversion_refuses_update" if sqlite else "SET session_replication_role = replica"
    )
    with connection.cursor() as cursor:
        cursor.execute(aside)
        moved = version.document.replace('"value": "45"', '"value": "60"')
        ProtocolVersion.objects.filter(pk=version.pk).update(document=moved)
        if not sqlite:
            cursor.execute("SET session_replication_role = origin")
    return version


def test_a_tablet_gets_no_protocol(cast, as_person, altered):
    """Without one it decides nothing."""
    assert as_person(cast.supervisor).get("/tablet/kit.json").json()["protocol"] is None


def test_a_program_gets_no_decision(cast, as_person, altered):
    """'Cannot assess', which nobody takes for a go."""
    answer = as_person(cast.supervisor).post(
        "/api/v1/assess/", json.dumps(situation()), content_type="application/json"
    )
    assert answer.status_code == 503
    assert "decision" not in answer.json()


def test_a_record_is_not_checked_against_it(cast, altered):
    """It is not taken, and the tablet keeps it; the key stays free for the next try."""
    with pytest.raises(CannotAssess, match="the stored document has the digest"):
        send(cast, signed(cast))
    assert not Assessment.objects.exists() and not Receipt.objects.exists()


def test_its_page_says_hold(cast, as_person, altered):
    """And shows nothing of what is stored."""
    shown = as_person(cast.chief).get(f"/protocols/{altered.pk}/").content
    assert b"Not used: hold." in shown
    assert b"Lines of the score" not in shown


PAGES = {
    "what if": "/review/what-if/{}/",
    "its moving part": "/review/what-if/{}/effect/",
    "what the numbers rest on": "/review/calibration/?version={}",
    "differences": "/protocols/{}/differences/?with=shipped",
    "the document": "/protocols/{}/document.json",
}


@pytest.mark.parametrize("page", PAGES)
def test_no_page_counts_compares_or_hands_it_out(cast, as_person, altered, page):
    """Each says why, and that it means hold."""
    answer = as_person(cast.chief).get(PAGES[page].format(altered.pk))
    assert (answer.status_code, b"Not used: hold" in answer.content) == (503, True)


def test_no_plan_is_worked_out_under_it(cast, as_person, altered):
    """Neither for a program nor on the desk."""
    asked = json.dumps({"situation": situation(), "inputs": {"format": "opsrisk.plan/1"}})
    answer = as_person(cast.supervisor).post("/api/v1/plan/", asked, content_type="application/json")
    assert answer.status_code == 503
    assert b"the stored document has the digest" in answer.content


def test_no_draft_starts_from_it(cast, as_person, altered):
    """What somebody wrote into the database must not come back as a proposal with a digest of its own."""
    altered.refresh_from_db()
    given = {"name": "ours", "version": "2", "title": "Ours"}
    with pytest.raises(Refused, match="the stored document has the digest"):
        actions.start_draft(agency=cast.agency, base=altered, **given, by=cast.safety, at=NOON)


def test_an_altered_draft_is_neither_edited_nor_adopted(cast):
    """An edit would give the altered document a digest that matches."""
    draft = actions.draft(agency=cast.agency, document=BASELINE.read_text(), by=cast.safety, at=NOON)
    moved = draft.document.replace('"value": "45"', '"value": "60"')
    ProtocolVersion.objects.filter(pk=draft.pk).update(document=moved)
    with pytest.raises(Refused, match="the stored document has the digest"):
        actions.edit_draft(
            version=draft, place=Place("heading", "title"), value="Ours", source=None, by=cast.safety, at=NOON
        )
    with pytest.raises(Refused, match="the stored document has the digest"):
        actions.adopt(version=draft, by=cast.chief, at=NOON, reason="It is ours")


def test_an_agency_gets_out_of_it_by_adopting_one_that_stands(cast, as_person, altered):
    """The page of adoption compares with nothing, and adopts."""
    text = json.dumps(json.loads(BASELINE.read_text()) | {"version": "2"})
    draft = actions.draft(agency=cast.agency, document=text, by=cast.safety, at=NOON)
    assert as_person(cast.chief).get(f"/protocols/{draft.pk}/adopt/").status_code == 200
    prove(draft)
    later = NOON + timedelta(hours=1)
    adopted = actions.adopt(version=draft, by=cast.chief, at=later, reason="The stored one was altered")
    assert protocol_in_force(cast.agency, later) == adopted


@pytest.mark.parametrize("document", ["", "{}", "[1"])
def test_a_document_that_is_none_any_more_is_not_read(cast, document):
    """Whatever stands there now."""
    version = adopt_baseline(cast)
    version.document = document
    with pytest.raises(NotAsStored, match="is no protocol"):
        version.rules()
    assert version.altered
