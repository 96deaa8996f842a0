"""How long records are kept: published least times with their status, the agency's own, and a list of what is past."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction

from opsrisk.agencies import actions
from opsrisk.agencies.medical_actions import note_examination
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.briefing.models import Archive, Sheet
from opsrisk.ledger.models import Entry
from opsrisk.records.models import RetentionPolicy
from opsrisk.records.retention import BY_NAME, KINDS, cutoff, in_force, past
from opsrisk.records.retention_actions import set_retention
from tests.operations.photos import whole_photo
from tests.operations.sending import RECEIVED, received
from tests.records.dives import REASON, TOLD, kept
from tests.records.training import entered

EVERY = {kind.name: 1 for kind in KINDS}


def counts(agency, at, years=EVERY):
    return {one.kind.name: one.number for one in past(agency, years, at)}


def periods(cast, by=None, reason="", **years):
    return set_retention(agency=cast.agency, years=years, reason=reason, by=by or cast.chief, at=RECEIVED)


def test_published_times_say_where_they_are_from_and_how_they_were_seen():
    """As quoted by others or from memory; never as if the rule itself had been read."""
    told = [words for kind in KINDS for words in kind.told]
    assert all(words.endswith(("as quoted by others", "from memory")) for words in told)
    assert BY_NAME["dives"].told[0].startswith("1 year: 29 CFR 1910 Subpart T")
    assert BY_NAME["dives_suspected"].told[0].endswith("from memory")
    assert {kind.name: kind.least for kind in KINDS if kind.least} == {
        "dives": 5, "dives_suspected": 5, "training": 5, "medical": 5,
    }  # fmt: skip


def test_periods_are_a_setting_with_versions_and_an_entry(cast):
    """The last one is in force; what is not set is kept for ever."""
    periods(cast, photos="7")
    assert periods(cast, dives="6").number == 2
    assert in_force(cast.agency).years == {"dives": 6}
    assert [one.number for one in RetentionPolicy.objects.order_by("number")] == [1, 2]
    assert Entry.objects.filter(verb="set_retention").count() == 2
    assert periods(cast).years == {}


def test_a_period_below_the_published_one_takes_a_reason(cast):
    """At the published time none; where nobody published one, none."""
    periods(cast, dives="5", photos="1")
    with pytest.raises(Refused, match="reason"):
        periods(cast, dives="4", reason="too short")
    assert periods(cast, dives="4", reason="The county attorney's schedule of 2026.").years == {"dives": 4}


@pytest.mark.parametrize("given", ["0", "101", "1.5", "-3", "five", "٥", "1000000"])
def test_what_is_no_number_of_years_is_named(cast, given):
    """The field, what was given and what is accepted."""
    with pytest.raises(Refused, match="photos"):
        periods(cast, photos=given)
    with pytest.raises(Refused, match="hats"):
        periods(cast, hats="5")


def test_who_may(cast):
    """The chief of the agency alone sets them; the database lets nobody change them."""
    for by in (cast.safety, cast.supervisor, cast.neighbour_chief):
        with pytest.raises(NotAllowed):
            periods(cast, by=by, photos="7")
    row = RetentionPolicy.objects.filter(pk=periods(cast, photos="7").pk)
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        row.update(years={})
    with pytest.raises(IntegrityError, match="never deleted"), transaction.atomic():
        row._raw_delete(row.db)


@pytest.mark.parametrize(
    ("now", "years", "before"),
    [(date(2028, 2, 29), 1, date(2027, 2, 28)), (date(2028, 2, 29), 4, date(2024, 2, 29)), (date(2026, 6, 2), 1, date(2025, 6, 2))],
)  # fmt: skip
def test_years_are_those_of_the_calendar(now, years, before):
    """Of 29 February the day before: nothing goes a day early."""
    assert cutoff(now, years) == before


def test_records_of_people_who_are_active_are_never_past(crew):
    """However old; a guest's dive counts from its day, another's from when the person left."""
    operation = received(crew).operation
    kept(crew, operation)
    kept(crew, operation, guest="A. Visitor")
    kept(crew, operation, decompression="unknown")
    entered(crew, crew.diver)
    entered(crew, crew.diver, crew.deputy)
    note_examination(
        person=crew.diver, examined_on=date(2026, 1, 1), valid_until=date(2026, 12, 1), by=crew.chief, at=RECEIVED
    )
    later = RECEIVED + timedelta(days=365 * 9)
    quiet = {"photos": 0, "archives": 0, "sheets": 0}
    assert counts(crew.agency, later) == {"dives": 1, "dives_suspected": 0, "training": 0, "medical": 0} | quiet
    actions.retire(person=crew.diver, by=crew.chief, at=later - timedelta(days=366))
    assert counts(crew.agency, later) == {"dives": 2, "dives_suspected": 1, "training": 1, "medical": 1} | quiet
    assert counts(crew.agency, later - timedelta(days=2))["dives"] == 1
    assert set(counts(crew.neighbour, later).values()) == {0}


def test_the_day_itself_is_kept_and_a_corrected_dive_counts_once_by_what_stands(crew):
    """A year after the day of the dive it is not past; a day later it is."""
    operation = received(crew).operation
    kept(crew, operation, guest="A. Visitor", injury="yes", incidents="Cut hand")
    kept(crew, operation, guest="A. Visitor", replaces=1, reason=REASON)
    dives = {"dives": 1, "dives_suspected": 1}
    anniversary = TOLD["in_at"] + timedelta(days=365)
    assert counts(crew.agency, anniversary, dives) == {"dives": 0, "dives_suspected": 0}
    assert counts(crew.agency, anniversary + timedelta(days=1), dives) == {"dives": 1, "dives_suspected": 0}


def test_files_are_listed_by_their_day_and_nothing_is_deleted(crew, as_person):
    """Photos, archives and sheets that have a file; the page lists them and they stay."""
    assessment = received(crew)
    operation = assessment.operation
    whole_photo(crew, operation)
    made = {"sha256": "0" * 64, "state": "ready"}
    Archive.objects.create(operation=operation, reason=REASON, asked_by=crew.chief, asked_at=RECEIVED, file="a", **made)
    Archive.objects.create(operation=operation, reason=REASON, asked_by=crew.chief, asked_at=RECEIVED)
    Sheet.objects.create(assessment=assessment, paper="a4", code="0123456789", made_at=RECEIVED, pdf="s", **made)
    files = {"photos": 1, "archives": 1, "sheets": 1}
    assert set(counts(crew.agency, RECEIVED + timedelta(days=365), files).values()) == {0}
    assert set(counts(crew.agency, RECEIVED + timedelta(days=370), files).values()) == {1}
    assert Archive.objects.count() == 2


def test_pages_show_and_set_them(crew, as_person):
    """Fields keep what was typed; the reason's refusal stands beside it; the safety officer reads, and does not set."""
    chief = as_person(crew.chief)
    empty = {kind.name: "" for kind in KINDS} | {"reason": ""}
    page = chief.get("/records/retention/").content.decode()
    assert "No period was set yet" in page
    assert "does not bind public-safety dives" in page
    assert as_person(crew.safety).get("/records/retention/").status_code == 200
    assert as_person(crew.safety).get("/records/retention/set/").status_code == 403
    assert as_person(crew.supervisor).get("/records/retention/").status_code == 403
    answer = chief.post("/records/retention/set/", empty | {"dives": "2"})
    assert answer.status_code == 422
    assert 'value="2"' in answer.content.decode()
    assert chief.post("/records/retention/set/", empty | {"dives": "2", "reason": REASON}).status_code == 302
    assert "(shorter than published)" in chief.get("/records/retention/").content.decode()
