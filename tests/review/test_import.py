"""Past operations come in whole or not at all, once each, and never with a score."""

import hashlib
import json
from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from opsrisk import jobs
from opsrisk.agencies.models import Agency, Site
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Assessment, Import, Imported, Operation
from opsrisk.operations.opened import Named, open_operation
from opsrisk.reference.units import to_si
from opsrisk.review import import_actions
from opsrisk.review.import_actions import HasChanged, confirm_import, drop_import, read_waiting
from opsrisk.review.import_columns import COLUMNS, NAMES
from opsrisk.review.imported import imported
from opsrisk.review.listing import without_assessment
from opsrisk.review.models import KEPT, Report, WaitingImport
from opsrisk.review.reports import Span, told
from tests.operations.sending import body, record, send, sign
from tests.review.past_files import AT, brought, file_of, row, taken

VEHICLE_ONLY = {"done": "Vehicle only", "visibility": "not known", "visibility_unit": ""}


def counts():
    return [model.objects.count() for model in (Operation, Imported, Import, WaitingImport, Entry)]


def test_a_file_comes_in_as_it_stands(cast):
    """Every cell where it belongs, under one entry that names the file's digest and the numbers."""
    rows = row(), row(2, site="quarry BASIN", found_by="The vehicle", diver_minutes="0", **VEHICLE_ONLY)
    made = taken(cast, *rows)
    first, second = Imported.objects.order_by("line")
    operation = first.operation
    assert (operation.title, operation.kind, operation.place, operation.outcome) == (
        "Van at the ferry", "recovery", "North steps", "Van raised, nobody in it",
    )  # fmt: skip
    assert operation.called_at == datetime(2019, 7, 4, 21, 40, tzinfo=UTC)
    assert operation.closed_at == datetime(2019, 7, 5, 2, 10, tzinfo=UTC)
    assert (first.done, first.injuries, first.near_miss, first.found_by) == ("vehicle_first", "none", "no", "both")
    assert (first.diver_minutes, first.vehicle_minutes, first.reference, first.line) == (42, 65, "2019-117", 2)
    assert (first.visibility_m, first.visibility) == (to_si("1.5", "ft"), "1.5 ft")
    assert (second.operation.site, second.done, second.visibility_m) == (cast.site, "vehicle_only", None)
    [entry] = Entry.objects.filter(verb="confirm_import")
    detail = json.loads(entry.detail)
    assert detail["sha256"] == made.sha256 == hashlib.sha256(file_of(*rows)).hexdigest()
    assert (detail["operations"], detail["bad"], detail["repeated"]) == (2, 0, 0)
    assert not Assessment.objects.exists() and not WaitingImport.objects.exists()


def test_nothing_is_in_until_it_is_confirmed(cast):
    """Bringing keeps the file and its entry, and no operation."""
    brought(cast, row())
    assert counts()[:4] == [0, 0, 0, 1]
    assert Entry.objects.filter(verb="bring_import").count() == 1


def test_good_rows_come_in_and_bad_ones_stay_out(cast):
    """Mixed: the good ones are taken, the others counted with their lines."""
    made = taken(cast, row(1), row(2, kind="picnic"), row(3), row(1))
    assert (made.number, made.bad, made.repeated) == (2, 1, 1)
    assert list(Imported.objects.order_by("line").values_list("line", flat=True)) == [2, 4]


@pytest.mark.parametrize("step", ["last operation", "last fact", "entry", "waiting"])
def test_nothing_is_half_in(cast, monkeypatch, step):
    """Whatever fails, even last of all, not one row is added, changed or gone."""
    waiting = brought(cast, *(row(n) for n in range(1, 8)))
    shown, before = read_waiting(waiting, AT).digest, counts()
    monkeypatch.setattr(import_actions, "AT_ONCE", 3)
    calls = []

    def failing(model):
        plain = model.objects.bulk_create

        def bulk_create(rows, **more):
            calls.append(model)
            if len([one for one in calls if one is model]) == 3:  # of three batches the last
                raise RuntimeError("the disk is full")
            return plain(rows, **more)

        return bulk_create

    def full(*_, **__):
        raise RuntimeError("the disk is full")

    if step == "last operation":
        monkeypatch.setattr(Operation.objects, "bulk_create", failing(Operation))
    elif step == "last fact":
        monkeypatch.setattr(Imported.objects, "bulk_create", failing(Imported))
    else:
        monkeypatch.setattr(*((import_actions, "enter") if step == "entry" else (WaitingImport, "delete")), full)
    with pytest.raises(RuntimeError, match="disk is full"):
        confirm_import(waiting=waiting, shown=shown, by=cast.chief, at=AT)
    assert counts() == before


def test_what_was_shown_is_what_comes_in(cast):
    """A site renamed or an operation opened in between changes the rows: they are shown again first."""
    waiting = brought(cast, row(1), row(2, site="Quarry basin"))
    shown = read_waiting(waiting, AT).digest
    Site.objects.filter(pk=cast.site.pk).update(name="Old quarry")
    with pytest.raises(HasChanged):
        confirm_import(waiting=waiting, shown=shown, by=cast.chief, at=AT)
    assert not Operation.objects.exists()
    only = brought(cast, row(1, kind=""))
    with pytest.raises(Refused, match="at least one good row"):
        confirm_import(waiting=only, shown=read_waiting(only, AT).digest, by=cast.chief, at=AT)


def test_a_file_belongs_to_who_brought_it(cast, as_person):
    """Colleagues see nothing of it; nobody confirms or drops another's; who may not is refused."""
    waiting = brought(cast, row(), at=timezone.now())
    shown = read_waiting(waiting, timezone.now()).digest
    for act in (
        lambda: confirm_import(waiting=waiting, shown=shown, by=cast.safety, at=AT),
        lambda: drop_import(waiting=waiting, by=cast.safety, at=AT),
    ):
        with pytest.raises(NotAllowed):
            act()
    for who in (cast.supervisor, cast.diver):
        with pytest.raises(NotAllowed):
            brought(cast, row(), by=who)
    assert as_person(cast.safety).get(reverse("import_waiting", args=[waiting.pk])).status_code == 404
    assert as_person(cast.safety).post(reverse("import_waiting", args=[waiting.pk])).status_code == 404
    assert waiting.name not in as_person(cast.safety).get(reverse("import_operations")).content.decode()
    assert waiting.name in as_person(cast.chief).get(reverse("import_operations")).content.decode()


def test_a_file_that_waits_expires_after_a_day(cast, as_person):
    """It is not confirmed any more, and the job deletes it with an entry; a younger one stays."""
    now = timezone.now()
    old, young = brought(cast, row(1), at=now - KEPT), brought(cast, row(2), at=now - KEPT + timedelta(minutes=5))
    assert as_person(cast.chief).get(reverse("import_waiting", args=[old.pk])).status_code == 404
    with pytest.raises(HasChanged):
        confirm_import(waiting=old, shown=read_waiting(old, now).digest, by=cast.chief, at=now)
    with pytest.raises(Refused, match="when the file expires"):
        drop_import(waiting=young, by=None, at=now)
    jobs.run("review.drop_expired_imports")
    assert list(WaitingImport.objects.all()) == [young]
    [entry] = Entry.objects.filter(verb="drop_import")
    assert (entry.actor_name, json.loads(entry.detail)["sha256"]) == ("command line", old.sha256)


def test_only_so_many_wait(cast):
    """Ten of one person."""
    for n in range(10):
        brought(cast, row(n + 1))
    with pytest.raises(Refused, match="fewer than 10"):
        brought(cast, row(20))
    brought(cast, row(20), by=cast.safety)


def test_no_record_is_ever_taken_for_an_imported_operation(crew):
    """It has no assessment and no score and never gets one, whatever a tablet sends."""
    taken(crew, row())
    [operation] = Operation.objects.filter(imported__isnull=False)
    made = record(crew)
    made["operation"] |= {"id": str(operation.pk)}
    with pytest.raises(Refused, match="imported"):
        send(crew, body(made, sign(made, crew.supervisor)))
    with pytest.raises(Refused, match="an id made for this operation"):  # a neighbour learns nothing of it
        named = Named(operation.pk, "Barge", None, "")
        open_operation(named, kind="object", called_at=AT, by=crew.neighbour_supervisor, at=AT, field="operation")
    assert not Assessment.objects.exists()


@pytest.mark.parametrize("asked", [{}, {"kind": "object"}, {"since": date(2026, 3, 5)}, {"decision": "hold"}], ids=str)
def test_the_chiefs_sums_still_add_up(county, asked, as_person):
    """Operations are those assessed and those not; the imported are part of the latter, and each table sums to them."""
    taken(
        county, row(1), row(2, kind="object", done="vehicle_only", found_by="vehicle", diver_minutes="0"),
        row(3, kind="object", site="Quarry basin", visibility="12", diver_minutes="not known"),
        row(4, called_at="2026-03-08 10:00", closed_at="2026-03-08 11:00", visibility="not known", visibility_unit=""),
    )  # fmt: skip
    found = imported(county.chief, asked, "us")
    without = without_assessment(county.chief, asked)
    alone = Operation.objects.filter(agency=county.agency, assessments=None, imported=None)
    called_off = alone.filter(kind=asked.get("kind", "object")).count()
    assert without == found.number + called_off == {"object": 3}.get(asked.get("kind"), 2 if "since" in asked else 5)
    for table in found.tables:
        assert sum(number for _, number in table.rows) == found.number
    assert sum(one.operations for one in found.exposure) == found.number
    rows = Imported.objects.filter(operation__kind=asked["kind"]) if "kind" in asked else Imported.objects.all()
    rows = rows.filter(operation__called_at__gte=datetime(2026, 3, 5, tzinfo=UTC)) if "since" in asked else rows
    assert sum(one.diver_minutes for one in found.exposure) == sum(one.diver_minutes or 0 for one in rows)
    assert found.number == len(rows)
    html = as_person(county.chief).get(reverse("review"), {k: str(v) for k, v in asked.items()}).content.decode()
    assert f"{without} without one, {found.number} of these imported" in html
    assert imported(county.neighbour_chief, asked, "us").number == 0


def test_the_sealed_report_says_how_many_were_imported(county):
    """Of those without an assessment, in its own days."""
    taken(county, row(1), row(2, called_at="2026-03-08 10:00", closed_at="2026-03-08 11:00"))
    said = told(county.agency, Span(Report.Period.MONTH, date(2026, 3, 1), date(2026, 3, 31)), AT)
    assert (said["summary"].without_assessment, said["imported"].number) == (2, 1)
    assert "2 without one, 1 of these imported from a file" in render_to_string("review/report.html", said)


def test_the_pages_from_file_to_operation(crew, as_person):
    """Template, upload, look, confirm; then it is on the lists, marked as imported, with what the file said."""
    client = as_person(crew.chief)
    names = b"".join(client.get(reverse("import_template")).streaming_content).decode().strip()
    assert names == ",".join(NAMES)
    page = client.get(reverse("import_operations")).content.decode()
    assert all(f"<code>{column.name}</code>" in page for column in COLUMNS)
    data = file_of(row(1), row(2, kind="picnic"), separator=";")
    answer = client.post(reverse("import_operations"), {"file": SimpleUploadedFile("past.csv", data)})
    assert answer.status_code == 302
    shown = client.get(answer["Location"]).content.decode()
    for words in ("semicolon, by the first line", "Take in the 1 good row, leave out the other 1", "picnic", "Van 1"):
        assert words in shown
    stale = client.post(answer["Location"], {"shown": "0" * 64})
    assert stale.status_code == 409 and "Nothing came in" in stale.content.decode()
    digest = read_waiting(WaitingImport.objects.get(), timezone.now()).digest
    assert f'value="{digest}"' in shown
    assert client.post(answer["Location"], {"shown": digest}).status_code == 302
    page = client.get(reverse("import_operations")).content.decode()
    assert hashlib.sha256(data).hexdigest() in page
    [operation] = Operation.objects.filter(imported__isnull=False)
    reader = as_person(crew.diver)
    assert "imported" in reader.get(reverse("operations")).content.decode()
    told = reader.get(reverse("operation", args=[operation.pk])).content.decode()
    for words in (
        "Imported",
        "no assessment and no score",
        "Vehicle first",
        "past.csv, line 2",
        "1.5 ft",
        "confirm import",
    ):
        assert words in told, words
    assert reader.get(f"/api/v1/operations/{operation.pk}/").json()["imported"] is True


def test_dropping_leaves_nothing(cast, as_person):
    """But the entries that it was brought and dropped."""
    waiting = brought(cast, row(), at=timezone.now())
    assert as_person(cast.chief).post(reverse("import_waiting", args=[waiting.pk]), {"drop": "yes"}).status_code == 302
    assert counts()[:4] == [0, 0, 0, 0]
    assert list(Entry.objects.filter(verb__endswith="import").values_list("verb", flat=True)) == [
        "bring_import",
        "drop_import",
    ]


def test_a_bad_file_is_said_beside_the_form(cast, as_person):
    """With nothing chosen, or with what cannot be read."""
    client = as_person(cast.chief)
    assert client.post(reverse("import_operations"), {}).status_code == 422
    answer = client.post(reverse("import_operations"), {"file": SimpleUploadedFile("x.csv", b"\xff\xfe")})
    assert answer.status_code == 422 and "save the file again as CSV UTF-8" in answer.content.decode()
    assert Agency.objects.count() == 2 and not WaitingImport.objects.exists()
