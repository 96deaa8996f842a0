"""What expires: two dates of a medical examination and no finding, a notice in time, told to whom it concerns."""

from datetime import UTC, date, datetime, timedelta

import pytest

from opsrisk.agencies import actions
from opsrisk.agencies.medical_actions import note_examination
from opsrisk.agencies.models import Examination
from opsrisk.agencies.papers import divers_without, due
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from opsrisk.tablet.kit import kit_document
from tests.cast import NOON

TODAY = NOON.date()
DAY = timedelta(days=1)


def examined(cast, *, person=None, by=None, examined_on=TODAY - 300 * DAY, valid_until=TODAY + 65 * DAY):
    who = person or cast.diver
    return note_examination(person=who, examined_on=examined_on, valid_until=valid_until, by=by or cast.safety, at=NOON)


def qualified(cast, until, *, person=None, kind="first aid"):
    return actions.qualify(person=person or cast.diver, kind=kind, limits={}, expires=until, by=cast.safety, at=NOON)


def told(reader, at=NOON, **of):
    return [(one.person.name, one.kind, one.days) for one in due(reader, at, **of)]


def test_two_dates_are_noted_and_nothing_else(cast):
    """In the log stand who, when and both days; the row has no room for words."""
    row = examined(cast)
    assert (row.examined_on, row.valid_until) == (TODAY - 300 * DAY, TODAY + 65 * DAY)
    assert "examined_on" in Entry.objects.get(verb="note_examination").detail
    held = {field.get_internal_type() for field in Examination._meta.concrete_fields}
    assert not held & {"CharField", "TextField", "JSONField"}


@pytest.mark.parametrize(
    ("field", "days"),
    [("examined_on", (1, 9)), ("valid_until", (-9, -9)), ("valid_until", (-9, -10)), ("valid_until", (-9, 366 * 5))],
)
def test_days_that_cannot_be_are_named(cast, field, days):
    """An examination still to come, one that held for no day, or for more than five years."""
    with pytest.raises(Refused, match=field):
        examined(cast, examined_on=TODAY + days[0] * DAY, valid_until=TODAY + days[1] * DAY)
    assert not Examination.objects.exists()


@pytest.mark.parametrize("who", ["supervisor", "diver", "neighbour_chief"])
def test_others_note_nobodys(cast, who):
    """Only chief and safety officer of the same agency."""
    with pytest.raises(NotAllowed):
        examined(cast, by=cast.people[who])


def test_a_qualification_takes_no_medical_words(cast):
    """Words in a kind would be the finding that is not kept here."""
    with pytest.raises(Refused, match="two dates"):
        qualified(cast, None, kind=" Medical: fit with glasses")


def test_notice_begins_sixty_days_before_and_the_last_day_still_counts(cast):
    """Day by day on either side; what never expires is never due."""
    qualified(cast, None, kind="diver")
    for until, days in ((61, None), (60, 60), (0, 0), (-1, -1)):
        qualified(cast, TODAY + until * DAY)
        assert told(cast.chief) == ([] if days is None else [("Mara Quill", "first aid", days)])


def test_the_day_is_the_agencys(cast):
    """At one in the morning UTC it is still yesterday in New York, and the paper still holds."""
    cast.agency.time_zone = "America/New_York"
    cast.agency.save()
    qualified(cast, date(2026, 6, 1))
    cast.chief.refresh_from_db()
    assert told(cast.chief, datetime(2026, 6, 2, 1, tzinfo=UTC)) == [("Mara Quill", "first aid", 0)]


def test_the_last_examination_noted_stands(cast):
    """A wrong one is put right by the right one, also by an earlier day."""
    examined(cast, valid_until=TODAY + 500 * DAY)
    assert told(cast.chief) == []
    examined(cast, valid_until=TODAY - 2 * DAY)
    assert told(cast.chief) == [("Mara Quill", "medical examination", -2)]


def test_who_left_is_not_chased(cast):
    """Nor are the neighbour's people."""
    qualified(cast, TODAY)
    examined(cast, valid_until=TODAY)
    actions.retire(person=cast.diver, by=cast.chief, at=NOON)
    assert told(cast.chief) == told(cast.neighbour_chief) == []


def test_others_examinations_are_for_those_who_lead(cast, as_person):
    """A member sees the own one, on every page; the supervisor, the chief and the safety officer everybody's."""
    examined(cast, valid_until=TODAY - DAY)
    examined(cast, person=cast.deputy, valid_until=TODAY - DAY)
    assert len(told(cast.diver)) == 1
    assert all(len(told(cast.people[who])) == 2 for who in ("supervisor", "chief", "safety"))
    other = as_person(cast.diver).get(f"/people/{cast.deputy.pk}/").content.decode()
    assert "Medical examination" not in other
    assert "1 expired" in as_person(cast.diver).get("/people/").content.decode()
    assert "2 expired" in as_person(cast.supervisor).get("/people/").content.decode()
    assert "Oskar Lund" not in as_person(cast.diver).get("/people/expiring/").content.decode()
    assert "valid until" in as_person(cast.diver).get(f"/people/{cast.diver.pk}/").content.decode()
    assert "valid until" in as_person(cast.supervisor).get(f"/people/{cast.diver.pk}/").content.decode()
    assert "medical" not in as_person(cast.supervisor).get("/api/people/").content.decode()


def test_the_tablet_is_told_only_what_has_lapsed(cast):
    """And never as current, which would carry it into signed records; a member's tablet hears of its owner's alone."""
    examined(cast, person=cast.deputy, valid_until=NOON.date() - DAY)
    examined(cast, person=cast.safety)

    def papers(reader):
        roster = kit_document(reader, NOON)["roster"]
        return {one["name"]: one["qualifications"] for one in roster if one["qualifications"]}

    lapsed = {"kind": "medical_examination", "label": "medical examination", "current": False}
    assert papers(cast.supervisor) == {"Oskar Lund": [lapsed]}
    assert papers(cast.diver) == {}


def test_divers_without_an_examination_are_named_to_those_who_may_know(cast):
    """A tender is not, and nobody once one is noted."""
    qualified(cast, None, kind="diver")
    qualified(cast, None, kind="diver_tender", person=cast.deputy)
    assert divers_without(cast.supervisor) == ["Mara Quill"]
    assert divers_without(cast.diver) == []
    examined(cast)
    assert divers_without(cast.supervisor) == []


def test_pages_tell_of_it(cast, as_person):
    """Counts on the people page, the list behind it, and on the person's own page; the form keeps two dates."""
    far = datetime.now(UTC).date() - timedelta(days=400)  # the pages go by today
    form = {"examined_on": str(far), "valid_until": str(far + timedelta(days=365))}
    chief = as_person(cast.chief)
    assert chief.post(f"/people/{cast.diver.pk}/medical/", form | {"valid_until": ""}).status_code == 422
    assert chief.post(f"/people/{cast.diver.pk}/medical/", form).status_code == 302
    assert "1 expired, 0 expire" in chief.get("/people/").content.decode()
    assert "expired 35 days ago" in chief.get("/people/expiring/").content.decode()
    assert "medical examination: expired 35 days ago" in as_person(cast.diver).get("/me/").content.decode()
