"""A person's own log and everybody's for the chief: sums that add up, and a CSV that comes back as it went out."""

import csv
import io

from tests.operations.sending import received
from tests.records.dives import REASON, kept


def table(client, address):
    answer = client.get(address)
    assert answer.status_code == 200
    return list(csv.DictReader(io.StringIO(b"".join(answer.streaming_content).decode(), newline="")))


def test_sums_count_each_dive_once_and_what_is_not_known_apart(crew, as_person):
    """A corrected dive counts by its last record; an unknown bottom time is counted, not guessed."""
    operation = received(crew).operation
    kept(crew, operation, bottom_minutes="20")
    kept(crew, operation, replaces=1, bottom_minutes="14", reason=REASON)
    kept(crew, operation, bottom_minutes="not known")
    kept(crew, operation, diver=crew.deputy, bottom_minutes="9")
    log = as_person(crew.diver).get(f"/records/people/{crew.diver.pk}/")
    assert log.context["sums"] == {"dives": 2, "minutes": 14, "not_known": 1}
    people = {person.name: sums for person, sums, _ in as_person(crew.chief).get("/records/").context["people"]}
    assert people["Mara Quill"] | {"diver": 0} == {"diver": 0, "dives": 2, "minutes": 14, "not_known": 1}
    assert people["Oskar Lund"]["minutes"] == 9
    assert people["Teo Brandt"] is None


def test_nobody_is_ranked_and_a_member_sees_nobodys_sums(crew, as_person):
    """By name, whoever dived most; others see the way to their own log alone."""
    operation = received(crew).operation
    kept(crew, operation)
    names = [person.name for person, _, _ in as_person(crew.chief).get("/records/").context["people"]]
    assert names == sorted(names)
    assert as_person(crew.diver).get("/records/").context["people"] == []
    assert as_person(crew.diver).get(f"/records/people/{crew.chief.pk}/").status_code == 403
    assert as_person(crew.supervisor).get(f"/records/people/{crew.diver.pk}/").status_code == 403


def test_the_csv_comes_back_as_it_went_out(crew, as_person):
    """Both depths, times in UTC, conditions with their units, the digest, and no cell that runs as a formula."""
    assessment = received(crew)
    operation = assessment.operation
    row = kept(crew, operation, max_depth="33", from_record=assessment.digest, work="=2+3", incidents="-1 glove")
    kept(crew, operation, guest="@Visitor", max_depth="not known")
    lines = {line["dive"]: line for line in table(as_person(crew.chief), "/records/dives.csv")}
    assert (lines["1"]["max_depth_ft"], lines["1"]["max_depth_m"]) == ("33.0", "10.1")
    assert (lines["1"]["work"], lines["1"]["incidents"], lines["2"]["diver"]) == ("'=2+3", "'-1 glove", "'@Visitor")
    assert lines["1"]["in_at_utc"] == "2026-06-01T14:10:00+00:00"
    assert "30 ft, measured" in lines["1"]["conditions"]
    assert lines["1"]["record_sha256"] == row.sha256
    assert (lines["2"]["max_depth_ft"], lines["2"]["other_agency"]) == ("", "yes")
    assert [line["dive"] for line in table(as_person(crew.diver), f"/records/people/{crew.diver.pk}/dives.csv")] == [
        "1"
    ]


def test_every_column_is_defined(crew, as_person):
    """The definitions name each column of the CSV, in its order, with a meaning."""
    kept(crew, received(crew).operation)
    chief = as_person(crew.chief)
    told = table(chief, "/records/definitions.csv")
    assert [row["column"] for row in told] == list(table(chief, "/records/dives.csv")[0])
    assert all(row["definition"] for row in told)
