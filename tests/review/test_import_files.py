"""A file of past operations is read cell by cell: what is good, what is not and why, what is here already."""

import csv
import io
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from opsrisk.agencies.refusals import Refused
from opsrisk.operations.models import Operation
from opsrisk.review.export import guarded
from opsrisk.review.import_actions import bring_import, read_waiting
from opsrisk.review.import_columns import COLUMNS, NAMES, About, Wrong
from opsrisk.review.import_rows import unguarded
from opsrisk.review.import_table import MOST_BYTES, MOST_ROWS, read_table
from opsrisk.review.models import WaitingImport
from tests.review.past_files import AT, GOOD, brought, faults, file_of, row, taken


@pytest.mark.parametrize(
    ("changes", "field", "accepted"),
    [
        ({"title": ""}, "title", "1 to 200 letters"),
        ({"title": "x" * 201}, "title", "1 to 200 letters"),
        ({"title": "a\nb"}, "title", "on one line"),
        ({"outcome": "a\x00b"}, "outcome", "that can be seen"),
        ({"kind": "picnic"}, "kind", "rescue (Rescue)"),
        ({"site": "Nowhere"}, "site", "by the name that it has here"),
        ({"place": ""}, "place", "where there is no site"),
        ({"called_at": "4/7/2019 21:40"}, "called_at", "year-month-day"),
        ({"called_at": "2019-02-29 10:00"}, "called_at", "in the calendar"),
        ({"called_at": "2019-07-04 24:40"}, "called_at", "on the clock"),
        ({"called_at": "2019-07-04T21:40-25:00"}, "called_at", "on the clock"),
        ({"called_at": "1812-07-04 21:40"}, "called_at", "from 1900 on"),
        ({"closed_at": "2026-11-28 09:01"}, "closed_at", "that has passed"),
        ({"closed_at": "2019-07-04 21:39"}, "closed_at", "not before called_at"),
        ({"done": "swim"}, "done", "hold (Hold)"),
        ({"outcome": ""}, "outcome", "1 to 4000"),
        ({"injuries": ""}, "injuries", "none (Nobody was hurt)"),
        ({"near_miss": "maybe"}, "near_miss", "unknown (Not known)"),
        ({"found_by": "dog"}, "found_by", "others (Somebody else)"),
        ({"diver_minutes": ""}, "diver_minutes", "or: not known"),
        ({"diver_minutes": "1,000"}, "diver_minutes", "without a sign between thousands"),
        ({"diver_minutes": "20001"}, "diver_minutes", "0 to 20,000"),
        ({"diver_minutes": "9" * 5000}, "diver_minutes", "0 to 20,000"),
        ({"vehicle_minutes": "-5"}, "vehicle_minutes", "whole minutes"),
        ({"vehicle_minutes": "²"}, "vehicle_minutes", "whole minutes"),
        ({"visibility": "1,500"}, "visibility", "two decimals"),
        ({"visibility": "300"}, "visibility", "0 to 262 ft"),
        ({"visibility": "1.5", "visibility_unit": ""}, "visibility_unit", "ft or m beside"),
        ({"visibility": "not known"}, "visibility_unit", "nothing where"),
        ({"visibility_unit": "yd"}, "visibility_unit", "ft or m"),
        ({"found_by": "divers", "diver_minutes": "0"}, "diver_minutes", "more than 0 where found_by is divers"),
        ({"found_by": "both", "diver_minutes": "0"}, "diver_minutes", "more than 0"),
        ({"found_by": "vehicle", "vehicle_minutes": "0"}, "vehicle_minutes", "more than 0"),
        ({"done": "vehicle_only", "found_by": "vehicle"}, "diver_minutes", "no diver went in"),
        ({"done": "hold", "found_by": "divers", "diver_minutes": "not known", "vehicle_minutes": "0"}, "found_by", "no diver went in"),
        ({"done": "hold", "found_by": "others", "diver_minutes": "0"}, "vehicle_minutes", "nothing went in"),
    ],
)  # fmt: skip
def test_a_bad_cell_is_named_with_what_is_accepted(cast, changes, field, accepted):
    """One bad cell, one reason, beside its field."""
    said = faults(cast, **changes)
    assert list(said) == [field]
    assert accepted in said[field]


def test_every_reason_of_a_row_is_given_at_once(cast):
    """Nobody mends a row cell by cell."""
    assert list(faults(cast, kind="", called_at="", diver_minutes="many")) == ["kind", "called_at", "diver_minutes"]


@pytest.mark.parametrize("separator", [",", ";"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "BOM"])
def test_comma_or_semicolon_with_or_without_bom(cast, separator, mark):
    """The page says which separator it found; commas in texts, other orders and other ends of lines are no matter."""
    names = tuple(reversed(NAMES))
    data = mark + file_of(row(visibility="1,5"), separator=separator, names=names).replace(b"\r\n", b"\n")
    read = read_waiting(brought(cast, data=data), AT)
    assert (len(read.new), read.table.separator) == (1, separator)
    assert read.new[0].outcome == "Van raised, nobody in it" and read.new[0].visibility == "1.5"


@pytest.mark.parametrize(
    ("data", "given", "accepted"),
    [
        (b"", "", "names each column"),
        (b"title\tkind\n", "title", "a comma or a semicolon"),
        (file_of(names=NAMES[:-1]), "title", "also own_reference"),
        (",".join([*NAMES, "score"]).encode(), "score", "no other columns"),
        (",".join([*NAMES, "kind"]).encode(), "kind", "each column once"),
        (",".join(["reason", *NAMES]).encode(), "reason", "as the last one"),
        (file_of(), "no row", "at least one"),
        (file_of(row()) + "Fähre".encode("latin-1"), "line 3), which is no UTF-8", "text in UTF-8"),
        ("﻿".encode("utf-16"), "no UTF-8", "save the file again"),
        (file_of(row()) + b'"open', "line 3", "quotation marks are closed"),
        (file_of(row()) + b"x" * 200_000, "line 3", "131,072 letters"),
        (file_of(row()) + b"," * MOST_BYTES, "bytes", "5,000,000 bytes"),
    ],
)  # fmt: skip
def test_what_is_no_such_file_is_refused_in_words(cast, data, given, accepted):
    """As a whole, and nothing is kept."""
    with pytest.raises(Refused) as refused:
        bring_import(data=data, name="x.csv", by=cast.chief, at=AT)
    field, said_given, said_accepted = refused.value.errors[0]
    assert field == "file" and given in said_given and accepted in said_accepted
    assert not WaitingImport.objects.exists()


def test_a_row_too_many_is_refused(cast):
    """20,000 are taken, one more is not."""
    lines = [f"{n}," + "," * (len(NAMES) - 2) for n in range(MOST_ROWS + 1)]
    text = "\n".join([",".join(NAMES), *lines])
    assert len(read_table(text.rpartition("\n")[0].encode()).lines) == MOST_ROWS
    with pytest.raises(Refused, match="20,000"):
        read_table(text.encode())


def test_a_row_of_another_length_is_bad_and_empty_lines_are_counted(cast):
    """Cells are never pushed into the next column; the line is that of the file, texts of several lines included."""
    data = (
        file_of(row(1, outcome="one\ntwo"))
        + b"\r\n"
        + b"a,b\r\n"
        + b"," * 15
        + b"\r\n"
        + file_of(row(2)).split(b"\r\n")[1]
    )
    read = read_waiting(brought(cast, data=data), AT)
    assert [(past.line, past.outcome) for past in read.new] == [(2, "one\ntwo"), (7, GOOD["outcome"])]
    assert read.table.empty == 2
    [bad] = read.bad
    assert (bad.line.number, bad.faults[0].field, bad.faults[0].given) == (5, "row", "2 cells")


@pytest.mark.parametrize(
    ("given", "zone", "said"),
    [
        ("2019-07-04 21:40", "America/New_York", "2019-07-05T01:40"),
        ("2019-07-04T21:40:30+02:00", "America/New_York", "2019-07-04T19:40:30"),
        ("2019-07-04 21:40Z", "America/New_York", "2019-07-04T21:40"),
        ("2019-03-10 02:30", "America/New_York", "left out in America/New_York"),
        ("2019-11-03 01:30", "America/New_York", "showed this one twice"),
        ("2019-11-03 01:30-05:00", "America/New_York", "2019-11-03T06:30"),
        ("2019-11-03 01:30-04:00", "America/New_York", "2019-11-03T05:30"),
        ("2019-10-06 02:15", "Australia/Lord_Howe", "left out in Australia/Lord_Howe"),
    ],
)  # fmt: skip
def test_times_by_the_agencys_clocks(cast, given, zone, said):
    """What the clocks never showed or showed twice is refused with words; an offset settles it."""
    cast.agency.time_zone = zone
    cast.agency.save()
    chief = type(cast.chief).objects.get(pk=cast.chief.pk)
    read = read_waiting(
        bring_import(data=file_of(row(called_at=given, closed_at="2020-01-01 00:00")), name="x", by=chief, at=AT), AT
    )
    if said[:2] == "20":
        assert read.new[0].called_at == datetime.fromisoformat(said + "+00:00")
    else:
        assert said in read.bad[0].reason
        assert ("-04:00 or -05:00" in read.bad[0].reason) is ("twice" in said)


@given(
    st.datetimes(AT.replace(year=1970, tzinfo=None), AT.replace(tzinfo=None)),
    st.sampled_from(["America/New_York", "Europe/London", "Asia/Kolkata"]),
)
def test_any_local_time_is_read_as_it_was_or_refused(at, zone):
    """Read back by the same clocks it is the same time of day, and no other moment had it."""
    at = at.replace(microsecond=0)
    clocks, [read] = ZoneInfo(zone), [column.read for column in COLUMNS if column.name == "called_at"]
    moments = {
        moment
        for fold in (0, 1)
        for moment in [at.replace(tzinfo=clocks, fold=fold).astimezone(UTC)]
        if moment.astimezone(clocks).replace(tzinfo=None) == at
    }
    try:
        found = {read(at.isoformat(" "), About(clocks, {}, AT))}
    except Wrong:
        found = set()
    assert found == (moments if len(moments) == 1 else set())


def test_the_same_operation_is_not_taken_twice(cast):
    """Same own reference, or same title and time of call: in the file, or here already, a tablet's own included."""
    taken(cast, row(1))
    Operation.objects.create(
        agency=cast.agency, title="Skiff", kind="object", called_at=datetime(2020, 5, 1, 8, 0, tzinfo=UTC)
    )
    Operation.objects.create(
        agency=cast.neighbour, title="Barge", kind="object", called_at=datetime(2020, 5, 1, 8, 0, tzinfo=UTC)
    )
    rows = [
        row(1, title="Another"), row(2, title="VAN 1"), row(3, title="Skiff", called_at="2020-05-01 08:00", closed_at="2020-05-01 09:00"),
        row(4), row(4, title="Again"), row(5, title="Van 4"), row(6, title="Barge", called_at="2020-05-01 08:00", closed_at="2020-05-01 09:00"),
        row(7, own_reference=""), row(8, own_reference=""),
    ]  # fmt: skip
    read = read_waiting(brought(cast, *rows), AT)
    assert [past.line for past in read.new] == [5, 8, 9, 10]
    assert [left.line.number for left in read.repeated] == [2, 3, 4, 6, 7]
    reasons = [left.reason for left in read.repeated]
    assert (
        "Van 1, which is here already" in reasons[0] and "here already" in reasons[1] and "here already" in reasons[2]
    )
    assert "line 5 of this file" in reasons[3] and "line 5 of this file" in reasons[4]


def test_what_was_left_out_comes_back_mended(cast, as_person):
    """The file of bad rows has the reason last; mended, guarded cells and that column included, it comes in."""
    waiting = brought(cast, row(1), row(2, title="=Skiff+1", kind="picnic"), row(3, outcome="- none", injuries="some"))
    client = as_person(cast.chief)
    WaitingImport.objects.update(at=timezone.now())
    text = b"".join(client.get(reverse("import_left_out", args=[waiting.pk])).streaming_content).decode()
    lines = list(csv.DictReader(io.StringIO(text, newline="")))
    assert [line["title"] for line in lines] == ["'=Skiff+1", "Van 3"]
    assert "kind: given 'picnic', accepted rescue (Rescue)" in lines[0]["reason"]
    assert list(lines[0])[-1] == "reason"
    mended = text.replace("picnic", "object").replace(",some,", ",none,").encode()
    read = read_waiting(brought(cast, data=mended), AT)
    assert not read.left_out
    assert [(past.title, past.outcome) for past in read.new] == [("=Skiff+1", GOOD["outcome"]), ("Van 3", "- none")]


@given(st.text(max_size=20))
def test_the_guard_comes_off_as_it_went_on(text):
    """A text that our files guard is read as it was."""
    assert text.startswith("'") or unguarded(guarded(text)) == text
