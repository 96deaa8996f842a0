"""Training days: entered with who took part, corrected only for a reason, summed for each person by what stands."""

import hashlib
from datetime import date
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.record import canonical
from opsrisk.ledger.models import Entry
from opsrisk.records.models import Trained, TrainingDay
from tests.records.dives import REASON
from tests.records.training import entered


def test_it_is_kept_with_who_took_part_and_its_digest_in_the_log(cast):
    """The digest fits what the database gives back, those who took part included."""
    row = TrainingDay.objects.get(pk=entered(cast, cast.diver, cast.deputy).pk)
    people = [one.person for one in row.trained.all()]
    assert {one.name for one in people} == {"Mara Quill", "Oskar Lund"}
    assert row.sha256 == hashlib.sha256(canonical(row.document(people))).hexdigest()
    assert row.sha256 in Entry.objects.get(verb="keep_training").detail


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("what", " "), ("hours", ""), ("hours", "0"), ("hours", "25"), ("hours", "3.555"), ("hours", "-1"), ("hours", "three"),
        ("held_on", date(2026, 6, 2)), ("people", ()),
    ],
)  # fmt: skip
def test_what_is_missing_or_malformed_is_named(cast, field, given):
    """The field, what was given and what is accepted; nothing is kept."""
    with pytest.raises(Refused) as refused:
        entered(cast, cast.diver, **{field: given})
    assert field in {name for name, _, _ in refused.value.errors}
    assert not TrainingDay.objects.exists()


def test_others_by_name_alone_will_do_and_a_neighbour_is_no_colleague(cast):
    """People of another agency are written down, not chosen."""
    assert entered(cast, guests="A. Visitor").guests == "A. Visitor"
    with pytest.raises(Refused, match="people"):
        entered(cast, cast.diver, cast.neighbour_chief)


def test_a_correction_replaces_for_a_reason_and_hours_are_summed_by_what_stands(cast, as_person):
    """Who was taken off the day loses its hours; both entries stay readable."""
    entered(cast, cast.diver, cast.deputy)
    with pytest.raises(Refused, match="reason"):
        entered(cast, cast.diver, replaces=1)
    with pytest.raises(Refused, match="a training day that was entered"):
        entered(cast, cast.diver, replaces=5, reason=REASON)
    entered(cast, cast.diver, replaces=1, hours="4", reason=REASON)
    entered(cast, cast.diver, hours="1.25")
    people = {one.name: hours for one, _, hours in as_person(cast.chief).get("/records/").context["people"]}
    assert (people["Mara Quill"], people["Oskar Lund"]) == (Decimal("5.25"), 0)
    assert as_person(cast.diver).get(f"/records/people/{cast.diver.pk}/").context["hours"] == Decimal("5.25")
    page = as_person(cast.diver).get("/records/training/").content.decode()
    assert (page.count("Lost-diver drill"), "Entry 1, replaced" in page, REASON in page) == (3, True, True)


def test_the_database_itself_refuses_to_change_or_delete_one(cast):
    """The day, and who took part."""
    entered(cast, cast.diver)
    for rows, change in ((TrainingDay.objects.all(), {"hours": 5}), (Trained.objects.all(), {"person": cast.chief})):
        with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
            rows.update(**change)
        with pytest.raises(IntegrityError, match="never deleted"), transaction.atomic():
            rows._raw_delete(rows.db)


def test_who_may(cast):
    """A member enters none; a neighbour's chief has no say in it."""
    for by in (cast.diver, cast.neighbour_chief):
        with pytest.raises(NotAllowed):
            entered(cast, cast.diver, by=by)


def test_the_page_keeps_what_was_typed_when_it_refuses(cast, as_person):
    """422 beside the field; then it is kept; a correction starts from what stands."""
    client = as_person(cast.supervisor)
    form = {"held_on": "2026-05-30", "what": "Lost-diver drill", "hours": "3,5", "people": [str(cast.diver.pk)]}
    answer = client.post("/records/training/keep/", form)
    assert answer.status_code == 422
    assert "such as 7.5" in answer.content.decode()
    assert "Lost-diver drill" in answer.content.decode()
    assert client.post("/records/training/keep/", form | {"hours": "3.5"}).status_code == 302
    assert client.get("/records/training/1/correct/").context["form"].initial["people"] == [str(cast.diver.pk)]
    assert client.get("/records/training/9/correct/").status_code == 404
