"""The debrief of an operation: kept as told, never changed, replaced only for a reason, asked for what is missing."""

import pytest

from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from opsrisk.operations.debrief_actions import Told, debrief
from opsrisk.operations.models import Debrief
from tests.operations.sending import RECEIVED, received, situation

TOLD = {
    "happened": "Found on the second pass.", "surprised": "Silt rose at once.", "injuries": "none", "near_miss": "no",
    "found_by": "vehicle", "looking_back": "right", "diver_minutes": "0", "vehicle_minutes": "38",
}  # fmt: skip


def told(crew, operation=None, by=None, **changes):
    operation = operation or received(crew).operation
    return debrief(operation=operation, told=Told(**(TOLD | changes)), by=by or crew.supervisor, at=RECEIVED)


def test_its_page_answers_whoever_only_asks_whether_it_is_there(crew, as_person):
    """HEAD as GET; a form that came with nothing in it is refused, not taken for a look."""
    client, address = as_person(crew.supervisor), f"/operations/{received(crew).operation_id}/debrief/"
    assert client.head(address).status_code == client.get(address).status_code == 200
    assert client.post(address).status_code == 422


def test_it_is_kept_as_told_with_the_visibility_of_the_assessment(crew):
    """One entry in the log; minutes as numbers; how far somebody saw comes from the record in force."""
    operation = received(
        crew, situation(readings__visibility={"value": "4", "unit": "ft", "how": "measured"})
    ).operation
    row = told(crew, operation)
    assert (row.number, row.diver_minutes, row.vehicle_minutes) == (1, 0, 38)
    assert row.visibility_m == pytest.approx(1.2192)
    assert '"found_by":"vehicle"' in Entry.objects.get(verb="debrief").detail.replace(" ", "")


@pytest.mark.parametrize("typed", ["not known", "Unknown", " not known "])
def test_minutes_that_nobody_knows_are_said_to_be_unknown(crew, typed):
    """And are no zero."""
    assert told(crew, diver_minutes=typed).diver_minutes is None


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("happened", "  "), ("diver_minutes", ""), ("diver_minutes", "12.5"), ("diver_minutes", "-3"), ("diver_minutes", "١٢"),
        ("vehicle_minutes", "20001"), ("injuries", "some"), ("found_by", ""), ("looking_back", "yes"),
    ],
)  # fmt: skip
def test_what_is_missing_or_malformed_is_named(crew, field, given):
    """The field, what was given and what is accepted; nothing is kept."""
    with pytest.raises(Refused) as refused:
        told(crew, **{field: given})
    assert field in {name for name, _, _ in refused.value.errors}
    assert not Debrief.objects.exists()


def test_a_near_miss_is_told_in_words(crew):
    """A yes alone teaches nobody."""
    with pytest.raises(Refused, match="near_miss_words"):
        told(crew, near_miss="yes")
    assert told(crew, near_miss="yes", near_miss_words="The line caught on a bolt.").near_miss == "yes"


def test_a_later_one_replaces_it_for_a_reason_and_both_stay(crew):
    """The last by number stands; the earlier one is still there, word for word."""
    first = told(crew)
    with pytest.raises(Refused, match="reason"):
        told(crew, first.operation, happened="Found on the third pass.")
    reason = "The vehicle's log shows a third pass."
    second = told(crew, first.operation, happened="Found on the third pass.", reason=reason)
    assert [row.number for row in Debrief.objects.standing()] == [second.number] == [2]
    assert Debrief.objects.get(number=1).happened == TOLD["happened"]


def test_who_may(crew):
    """A diver may read it; a neighbour's chief has no say in it."""
    operation = received(crew).operation
    for by in (crew.diver, crew.neighbour_chief):
        with pytest.raises(NotAllowed):
            told(crew, operation, by=by)


def test_the_page_keeps_what_was_typed_when_it_refuses(crew, as_person):
    """422, the words beside the field, and everything else still there; then it is kept and shown."""
    operation = received(crew).operation
    client = as_person(crew.supervisor)
    address = f"/operations/{operation.pk}/debrief/"
    answer = client.post(address, TOLD | {"diver_minutes": "twelve"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "whole minutes from 0 to 20,000, or the words not known" in page
    assert "Silt rose at once." in page
    assert client.post(address, TOLD).status_code == 302
    assert "Debrief 1, which stands" in client.get(address).content.decode()
    assert "Nobody was hurt" in client.get(f"/operations/{operation.pk}/").content.decode()
    assert as_person(crew.diver).post(address, TOLD).status_code == 403
