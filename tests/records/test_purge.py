"""A purge: by policy alone, asked for by one and agreed to by another, with the digests of what went in the log."""

import json

import pytest
from django.db import IntegrityError, transaction

from opsrisk.agencies import actions
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.actions import verify
from opsrisk.ledger.models import Entry
from opsrisk.records.models import DiveRecord, Purge, Trained, TrainingDay
from opsrisk.records.purge_actions import HOLDS, agree_purge, ask_purge
from opsrisk.records.retention_actions import set_retention
from tests.operations.sending import RECEIVED, received
from tests.records.dives import REASON, kept
from tests.records.old import AGO, OLD, asked_for, old_records
from tests.records.training import entered


@pytest.fixture
def operation(crew):
    return received(crew).operation


def agree(crew, purge, by=None, at=RECEIVED):
    return agree_purge(purge=purge, by=by or crew.safety, at=at)


def test_what_was_named_goes_with_what_it_replaced_and_leaves_its_digests(crew, operation):
    """Nothing before the second person; then those alone; the log stays whole and names each that went."""
    stays = kept(crew, operation)
    purge = asked_for(crew, operation)
    gone = {(str(row.pk), row.sha256) for row in DiveRecord.objects.exclude(pk=stays.pk)}
    assert len(gone) == 3
    assert DiveRecord.objects.count() == 4
    agree(crew, purge)
    assert list(DiveRecord.objects.all()) == [stays]
    assert TrainingDay.objects.count() == 1
    detail = json.loads(Entry.objects.get(verb="purge").detail)
    assert {(one["record"], one["sha256"]) for one in detail["records"]} == gone
    assert detail["asked_by"] == str(crew.chief.pk)
    kept_entries = "".join(Entry.objects.filter(verb="keep_dive").values_list("detail", flat=True))
    assert all(sha256 in kept_entries for _, sha256 in gone)
    assert not verify().problems


def test_training_days_go_with_who_took_part(crew, operation):
    """Once all of them left for longer than the period."""
    entered(crew, crew.diver, held_on=(RECEIVED - AGO).date())
    actions.retire(person=crew.diver, by=crew.chief, at=RECEIVED - AGO)
    purge = asked_for(crew, operation, kind="training")
    assert len(purge.what) == 2
    agree(crew, purge)
    assert (TrainingDay.objects.count(), Trained.objects.count(), DiveRecord.objects.count()) == (0, 0, 3)


def test_nobody_agrees_with_oneself_and_only_who_may(crew, operation):
    """Not even the database allows it."""
    purge = asked_for(crew, operation)
    with pytest.raises(Refused, match="somebody else"):
        agree(crew, purge, by=crew.chief)
    for by in (crew.supervisor, crew.diver, crew.neighbour_chief):
        with pytest.raises(NotAllowed):
            agree(crew, purge, by=by)
        with pytest.raises(NotAllowed):
            ask_purge(agency=crew.agency, kind="dives", reason=REASON, by=by, at=RECEIVED)
    with pytest.raises(IntegrityError), transaction.atomic():
        Purge.objects.filter(pk=purge.pk).update(agreed_by=crew.chief, agreed_at=RECEIVED)
    assert DiveRecord.objects.count() == 3


def test_a_request_lapses_after_seven_days_and_holds_once(crew, operation):
    """Another of the same kind waits until then; what was agreed to is not agreed to again."""
    purge = asked_for(crew, operation)
    with pytest.raises(Refused, match="no other request"):
        ask_purge(agency=crew.agency, kind="dives", reason=REASON, by=crew.chief, at=RECEIVED)
    with pytest.raises(Refused, match="at most 7 days"):
        agree(crew, purge, at=RECEIVED + HOLDS)
    later = RECEIVED + HOLDS
    again = ask_purge(agency=crew.agency, kind="dives", reason=REASON, by=crew.safety, at=later)
    agree(crew, again, by=crew.chief, at=later)
    with pytest.raises(Refused, match="nobody has agreed"):
        agree(crew, again, by=crew.chief, at=later)


def test_a_correction_or_a_longer_period_in_between_stops_it(crew, operation):
    """What the second person agrees to is what the first one named, and is still past its period."""
    purge = asked_for(crew, operation)
    kept(crew, operation, guest="B. Visitor", replaces=2, reason=REASON, **OLD)
    with pytest.raises(Refused, match="ask again"):
        agree(crew, purge)
    at = RECEIVED + HOLDS
    again = ask_purge(agency=crew.agency, kind="dives", reason=REASON, by=crew.chief, at=at)
    set_retention(agency=crew.agency, years={"dives": "7"}, reason="", by=crew.chief, at=at)
    with pytest.raises(Refused, match="ask again"):
        agree(crew, again, at=at)
    assert DiveRecord.objects.count() == 4


@pytest.mark.parametrize(("kind", "reason"), [("dives", "old"), ("photos", REASON), ("dives_suspected", REASON)])
def test_what_cannot_be_asked_for_is_named(crew, operation, kind, reason):
    """No reason, a kind that is not purged here, one without a period."""
    old_records(crew, operation)
    with pytest.raises(Refused, match=r"kind|reason"):
        ask_purge(agency=crew.agency, kind=kind, reason=reason, by=crew.chief, at=RECEIVED)
    assert not Purge.objects.exists()


def test_the_database_lets_go_of_nothing_without_a_purge(crew, operation):
    """Nor changes a row that has one, nor a request."""
    purge = asked_for(crew, operation)
    for rows in (DiveRecord.objects.all(), TrainingDay.objects.all()):
        with pytest.raises(IntegrityError, match="never deleted"), transaction.atomic():
            rows._raw_delete(rows.db)
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        Purge.objects.filter(pk=purge.pk).update(what=[])
    with pytest.raises(IntegrityError, match="never deleted"), transaction.atomic():
        Purge.objects.all()._raw_delete("default")
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        DiveRecord.objects.update(purge=purge, max_depth="3")


def test_pages_lead_two_people_through_it(crew, operation, as_person):
    """The asker has no button; the second person sees each record first, and afterwards that it is gone."""
    old_records(crew, operation)
    chief, safety = as_person(crew.chief), as_person(crew.safety)
    assert chief.post("/records/retention/purge/", {"kind": "dives", "reason": "old"}).status_code == 422
    asked = chief.post("/records/retention/purge/", {"kind": "dives", "reason": REASON})
    assert asked.status_code == 302
    assert "Agree: delete" not in chief.get(asked["Location"]).content.decode()
    assert chief.post(asked["Location"]).status_code == 422
    assert "A. Visitor" in safety.get(asked["Location"]).content.decode()
    assert "nobody has agreed" in safety.get("/records/retention/").content.decode()
    assert safety.post(asked["Location"]).status_code == 302
    page = safety.get(asked["Location"]).content.decode()
    assert ("A. Visitor" in page, "agreed to by Lena Okafor" in page) == (False, True)
