"""A stored protocol whose digest does not match decides nothing: not for a tablet, not for a record, not for a program."""

import json

import pytest
from django.db import connection

from opsrisk.assessment.assess import CannotAssess
from opsrisk.operations.models import Assessment, Receipt
from opsrisk.protocols.models import NotAsStored, ProtocolVersion
from tests.operations.sending import adopt_baseline, send, signed, situation


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
    """And the what-if counts nothing by it."""
    shown = as_person(cast.chief).get(f"/protocols/{altered.pk}/").content
    assert b"Not used: hold." in shown


@pytest.mark.parametrize("document", ["", "{}", "[1"])
def test_a_document_that_is_none_any_more_is_not_read(cast, document):
    """Whatever stands there now."""
    version = adopt_baseline(cast)
    version.document = document
    with pytest.raises(NotAsStored, match="is no protocol"):
        version.rules()
    assert version.altered
