"""Dive records: the items the rules ask for, kept as told, corrected only for a reason, seen by whom they concern."""

import hashlib
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.record import canonical
from opsrisk.ledger.models import Entry
from opsrisk.records.dive_actions import keep_dive
from opsrisk.records.models import DiveRecord
from tests.operations.sending import RECEIVED, received, situation
from tests.operations.test_voids import declared_void
from tests.records.dives import FORM, REASON, TOLD, kept, told_of


def test_it_is_kept_as_told_and_the_log_holds_its_digest_alone(crew):
    """The digest fits what the database gives back; no word of the record stands in the log, so that it can go."""
    row = kept(crew, received(crew).operation, max_depth="17.5", incidents="Lost a glove")
    row = DiveRecord.objects.get(pk=row.pk)
    assert (row.dive, row.number, row.diver, row.diver_name, str(row.max_depth)) == (
        1,
        1,
        crew.diver,
        "Mara Quill",
        "17.5",
    )
    assert row.sha256 == hashlib.sha256(canonical(row.document())).hexdigest()
    entry = Entry.objects.get(verb="keep_dive")
    assert row.sha256 in entry.detail
    assert "glove" not in entry.detail
    assert "Mara" not in entry.detail


def test_conditions_are_those_of_the_signed_record_that_the_page_showed(crew):
    """Value, unit and how it was known, with the record's digest; what was otherwise stands beside them in words."""
    seen = {"value": "4", "unit": "ft", "how": "estimated"}
    assessment = received(crew, situation(readings__visibility=seen))
    row = kept(crew, assessment.operation, from_record=assessment.digest, conditions_words="Less near the wall")
    assert row.conditions["visibility"] == seen
    assert row.from_record == assessment.digest
    assert ("4 ft, estimated" in dict(row.conditions_shown).values()) and row.conditions_words == "Less near the wall"


def test_conditions_of_a_void_record_are_not_taken(crew):
    """Nor those of a record that nobody knows; without any, the water is told in words."""
    assessment = received(crew)
    declared_void(crew, assessment)
    for digest in (assessment.digest, "0" * 64):
        with pytest.raises(Refused, match="from_record"):
            kept(crew, assessment.operation, from_record=digest)
    with pytest.raises(Refused, match="conditions_words"):
        kept(crew, assessment.operation, conditions_words=" ")


@pytest.mark.parametrize(
    ("field", "given"),
    [
        ("in_charge", " "), ("team", ""), ("place", ""), ("work", ""), ("mode", "snorkel"), ("mode", ""), ("max_depth", ""),
        ("max_depth", "17.55"), ("max_depth", "-1"), ("max_depth", "700"), ("max_depth", "1e1000"), ("max_depth", "١٧"),
        ("max_depth", "nan"), ("bottom_minutes", ""), ("bottom_minutes", "12.5"), ("bottom_minutes", "26"),
        ("decompression", "perhaps"), ("injury", ""), ("in_at", None), ("out_at", TOLD["in_at"]),
        ("out_at", TOLD["in_at"] + timedelta(hours=25)), ("depth_unit", "fathoms"),
    ],
)  # fmt: skip
def test_what_is_missing_or_malformed_is_named(crew, field, given):
    """The field, what was given and what is accepted; nothing is kept."""
    with pytest.raises(Refused) as refused:
        kept(crew, received(crew).operation, **{field: given})
    assert field in {name for name, _, _ in refused.value.errors}
    assert not DiveRecord.objects.exists()


def test_a_dive_that_is_not_over_is_no_record(crew):
    """Its end lies before it is written down."""
    with pytest.raises(Refused, match="a time that has passed"):
        kept(crew, received(crew).operation, at=TOLD["out_at"] - timedelta(minutes=1))


@pytest.mark.parametrize("typed", ["not known", "Unknown"])
def test_what_nobody_knows_is_said_to_be_unknown(crew, typed):
    """And is no zero."""
    row = kept(crew, received(crew).operation, max_depth=typed, bottom_minutes=typed)
    assert (row.max_depth, row.bottom_minutes) == (None, None)


def test_what_was_suspected_and_another_mode_are_told_in_words(crew):
    """A yes alone teaches nobody; the database asks for the words, too."""
    operation = received(crew).operation
    for changes in ({"decompression": "yes"}, {"injury": "yes"}):
        with pytest.raises(Refused, match="incidents"):
            kept(crew, operation, **changes)
    with pytest.raises(Refused, match="mode_words"):
        kept(crew, operation, mode="other")
    assert (
        kept(crew, operation, decompression="yes", incidents="Numb hand at 10 ft, oxygen given").decompression == "yes"
    )


def test_a_guest_is_recorded_by_name_and_never_beside_a_colleague(crew):
    """One dive has one diver; one of a neighbouring agency's people is no colleague."""
    operation = received(crew).operation
    assert kept(crew, operation, guest="A. Visitor").diver_name == "A. Visitor"
    for told in (told_of(crew.diver, guest="A. Visitor"), told_of(None)):
        with pytest.raises(Refused, match="diver"):
            keep_dive(operation=operation, told=told, replaces=None, by=crew.supervisor, at=RECEIVED)
    with pytest.raises(Refused, match="diver"):
        kept(crew, operation, diver=crew.neighbour_chief)


def test_a_correction_is_a_later_number_for_a_reason_and_both_stay(crew):
    """The dive keeps its place, the next dive gets the next one, and a dive without a record is not corrected."""
    operation = received(crew).operation
    kept(crew, operation)
    with pytest.raises(Refused, match="reason"):
        kept(crew, operation, replaces=1, max_depth="18", reason="too short")
    assert kept(crew, operation, replaces=1, max_depth="18", reason=REASON).number == 2
    assert kept(crew, operation).dive == 2
    assert [(row.dive, row.number) for row in DiveRecord.objects.standing().order_by("dive")] == [(1, 2), (2, 1)]
    with pytest.raises(Refused, match="a dive of this operation"):
        kept(crew, operation, replaces=7, reason=REASON)


def test_the_database_itself_refuses_to_change_or_delete_one(crew):
    """Whatever the program would ask of it."""
    row = DiveRecord.objects.filter(pk=kept(crew, received(crew).operation).pk)
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        row.update(max_depth="3")
    with pytest.raises(IntegrityError, match="never deleted"), transaction.atomic():
        row._raw_delete(row.db)


def test_who_may(crew):
    """A diver keeps no record, not even the own; a neighbour's chief has no say in it."""
    operation = received(crew).operation
    for by in (crew.diver, crew.neighbour_chief):
        with pytest.raises(NotAllowed):
            kept(crew, operation, by=by)


def test_the_form_starts_from_the_assessment_in_force_and_keeps_what_was_typed(crew, as_person):
    """Place and person in charge stand there to be read over; a refusal is 422 and loses nothing."""
    assessment = received(crew)
    client, address = as_person(crew.supervisor), f"/operations/{assessment.operation_id}/dives/keep/"
    assert client.head(address).status_code == 200
    initial = client.get(address).context["form"].initial
    assert (initial["place"], initial["in_charge"]) == ("Quarry basin, north steps", "Ines Varga")
    assert (initial["mode"], initial["from_record"]) == ("surface_supplied", assessment.digest)
    form = FORM | {"diver": str(crew.diver.pk), "from_record": assessment.digest}
    answer = client.post(address, form | {"max_depth": "deep"})
    assert answer.status_code == 422
    assert "with one decimal at most" in answer.content.decode()
    assert "Line search along the ledge" in answer.content.decode()
    assert client.post(address, form).status_code == 302
    page = client.get(f"/operations/{assessment.operation_id}/dives/").content.decode()
    assert "Mara Quill" in page
    assert "29 CFR 1910.423(d) (from memory)" in page
    assert "does not bind public-safety dives" in page


def test_times_are_the_agencys_and_its_units_the_forms(crew, as_person):
    """Ten past two where the agency is, however the server's clock is set; a metric agency types metres."""
    crew.agency.time_zone, crew.agency.units = "America/New_York", "metric"
    crew.agency.save()
    operation = received(crew).operation
    client = as_person(crew.supervisor)
    form = FORM | {
        "diver": str(crew.diver.pk),
        "in_at": "2026-06-01T10:10",
        "out_at": "2026-06-01T10:34",
        "max_depth": "5",
    }
    assert client.post(f"/operations/{operation.pk}/dives/keep/", form).status_code == 302
    row = DiveRecord.objects.get()
    assert (row.in_at, row.depth_unit) == (TOLD["in_at"], "m")
    page = client.get(f"/operations/{operation.pk}/dives/").content.decode()
    assert "2026-06-01 10:10 to 2026-06-01 10:34" in page
    assert "America/New_York" in page
    crew.agency.units = "us"  # a correction stays in the unit of what it corrects
    crew.agency.save()
    again = client.get(f"/operations/{operation.pk}/dives/1/correct/")
    assert "Maximum depth, m" in again.content.decode()
    assert 'value="2026-06-01T10:10"' in again.content.decode()
    assert client.get(f"/operations/{operation.pk}/dives/7/correct/").status_code == 404


def test_a_correction_by_its_page_shows_both(crew, as_person):
    """With the reason, and the earlier one folded away."""
    operation = received(crew).operation
    kept(crew, operation)
    client = as_person(crew.supervisor)
    form = FORM | {"diver": str(crew.diver.pk), "bottom_minutes": "21"}
    assert client.post(f"/operations/{operation.pk}/dives/1/correct/", form).status_code == 422
    assert client.post(f"/operations/{operation.pk}/dives/1/correct/", form | {"reason": REASON}).status_code == 302
    page = client.get(f"/operations/{operation.pk}/dives/").content.decode()
    assert REASON in page
    assert "Dive 1, record 1" in page


def test_a_diver_sees_the_own_dives_of_an_operation_and_no_others(crew, as_person):
    """They tell of health."""
    operation = received(crew).operation
    kept(crew, operation, incidents="Own words")
    kept(crew, operation, diver=crew.deputy, incidents="A colleague's words")
    address = f"/operations/{operation.pk}/dives/"
    own = as_person(crew.diver).get(address).content.decode()
    assert ("Own words" in own, "A colleague" in own) == (True, False)
    assert "A colleague" in as_person(crew.supervisor).get(address).content.decode()
