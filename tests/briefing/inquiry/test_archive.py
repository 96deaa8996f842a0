"""The archive holds everything, is the same bytes each time, and is asked for, made and taken as its page says."""

import hashlib
import io
import json
import os
import re
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from opsrisk import jobs
from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.briefing import archive_actions
from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.inquiry.photos import Attachment
from opsrisk.briefing.jobs import make_archive
from opsrisk.briefing.models import Archive
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.ledger import signing
from opsrisk.ledger.models import Entry
from tests.briefing.inquiry.past import RECEIVED
from tests.briefing.inquiry.tampering import by_the_insider
from tests.operations import sending
from tests.operations.photos import announce, jpeg, manifest, named, send_parts
from tests.operations.test_read_back import all_back
from tests.operations.test_voids import REASON as VOID_REASON
from tests.operations.test_voids import declared_void

REASON = "For the county coroner, file 12"


def told(found):
    return "\n".join(f"{state}: {what}" for state, what in found.lines)


@pytest.fixture
def fresh(cast, as_person):
    """A browser whose person has just given the password again."""

    def browser(person):
        person.set_password("seven herons on the weir")
        person.save()
        made = as_person(person)
        made.post(reverse("account_reauthenticate"), {"password": "seven herons on the weir"})
        return made

    return browser


def test_an_untouched_archive_holds(before, made):
    """With the server's key and the heads kept elsewhere, nothing is open and nothing broken."""
    found = verifier.verify("archive.zip", made, before.anchors())
    assert found.code == 0, told(found)


def test_the_same_content_gives_the_same_bytes(before, made):
    """Made twice from the same rows and log: not one byte differs."""
    assert archive(before.operation) == made


def test_everything_is_in_it(before, files, settings):
    """Each revision to the byte, signatures, receipts, lines, every sealed file, rules, entries, keys, program, page."""
    for row in (before.first, before.second):
        folder = f"revisions/{row.revision:02d}-{row.digest[:10]}"
        assert files[f"{folder}/record.json"] == row.record.encode()
        signed = json.loads(files[f"{folder}/signatures.json"])
        assert [one["name"] for one in signed] == list(
            row.signatures.order_by("at", "pk").values_list("name", flat=True)
        )
        assert json.loads(files[f"{folder}/receipts.json"])[0] == json.loads(row.receipt)
    sheet = before.sheets[0]
    assert files[f"sheets/{sheet.code}-letter-{sheet.sha256[:10]}.pdf"] == (settings.FILES / sheet.pdf).read_bytes()
    assert files["conditions.jsonl"].count(b"\n") == 3
    verbs = [json.loads(line)["verb"] for line in files["log/entries.jsonl"].splitlines()]
    wanted = {"adopt_protocol", "receive_record", "receive_signatures", "issue_sheet", "seal_sheet", "log_recall"}
    assert wanted <= set(verbs)
    assert verbs.count("set_signing_code") == 2
    assert json.loads(files["keys/server.json"])["keys"] == signing.public_keys()


def test_the_page_to_read_says_what_was_decided_and_defers(files, before):
    """Cautions, decision, signatures, readings and lines; no script, nothing from elsewhere, every link is a file here."""
    page = files["index.html"].decode()
    for words in ("Ines Varga", "Quarry basin, north steps", "Recall", before.second.digest, "<td>decided</td>"):
        assert words in page
    assert {one.role_words for one in before.second.signatures.all()} <= set(re.findall("<td>([^<]*)</td>", page))
    assert len(re.findall("<li>", page.partition("cautions")[2].partition("</ul>")[0])) >= 3
    assert not re.search(r"<script|<style|style=|src=|https?://", page)
    assert set(re.findall(r'href="([^"]+)"', page)) <= files.keys()


def test_an_attachment_is_listed_and_its_change_shows(before):
    """A place for files beside records and sheets: name, SHA-256 and what is said of it."""
    photo = Attachment("gauge.jpg", b"\xff\xd8 not really", {"caption": "The gauge at 14:02"})
    data = archive(before.operation, [photo])
    assert verifier.verify("a.zip", data, before.anchors()).code == 0
    files = verifier.unpacked(data)
    (listed,) = json.loads(files["manifest.json"])["attachments"]
    assert (listed["file"], listed["caption"]) == ("attachments/gauge.jpg", "The gauge at 14:02")
    assert "The gauge at 14:02" in files["index.html"].decode()
    altered = verifier.packed(files | {"attachments/gauge.jpg": b"another"})
    found = verifier.verify("a.zip", altered, before.anchors())
    assert "attachments/gauge.jpg: its content is not the one listed" in told(found)


def test_a_sheet_that_is_gone_from_the_disk_is_missing_in_words(before, settings):
    """The archive is made all the same, and neither hides nor replaces what was sealed: outcome 2."""
    (settings.FILES / before.sheets[0].pdf).write_bytes(b"another")
    data = archive(before.operation)
    found = verifier.verify("a.zip", data, before.anchors())
    assert found.code == 2, told(found)
    assert "the server's file is missing or not the one that was sealed" in told(found)
    assert "MISSING" in verifier.unpacked(data)["index.html"].decode()


def test_an_operation_without_records_has_an_archive(before, cast, settings):
    """Only lines of a log came: the archive holds those."""
    from tests.operations.test_log import add, line

    given = line(cast.diver)
    add(cast.diver, given)
    operation = type(before.operation).objects.get(pk=given["operation"]["id"])
    found = verifier.verify("a.zip", archive(operation), before.anchors())
    assert found.code == 0, told(found)


def test_names_in_any_script_are_kept(before, cast):
    """Names, places and remarks in every writing, and four thousand characters, come out as they went in."""
    place = "Ørsted · Καναλι · Канал · 運河 · قناة · नहर"
    record = sending.record(cast, number=70, brief={"task": "ß漢字🚤" * 800, "read_backs": []})
    record["operation"] |= {"id": "00000000-0000-4000-8000-0000000000bb", "place": place}
    sending.send(cast, sending.body(record, sending.sign(record, cast.supervisor)), key="script")
    operation = type(before.operation).objects.get(pk=record["operation"]["id"])
    data = archive(operation)
    assert verifier.verify("a.zip", data, before.anchors()).code == 0
    assert place in verifier.unpacked(data)["index.html"].decode()


def test_asking_needs_a_reason_and_a_chief(before, cast, clock):
    """Fifteen characters; a supervisor, a member and a neighbour may not."""
    with pytest.raises(Refused, match="reason: given 'why', accepted for whom and why"):
        archive_actions.ask_archive(operation=before.operation, reason="why", by=cast.chief, at=next(clock))
    for person in (cast.supervisor, cast.diver, cast.neighbour_chief):
        with pytest.raises(NotAllowed):
            archive_actions.ask_archive(operation=before.operation, reason=REASON, by=person, at=next(clock))
    assert not Archive.objects.exists()


def test_the_job_does_no_harm_when_run_twice(before, cast):
    """Its worker may have been killed: the sweep finds it, and the second run changes nothing."""
    asked = archive_actions.ask_archive(operation=before.operation, reason=REASON, by=cast.chief, at=RECEIVED)
    assert asked.state == Archive.State.QUEUED  # the test's transaction never commits
    assert jobs.sweep() >= 1
    asked.refresh_from_db()
    assert asked.state == Archive.State.READY
    make_archive(str(asked.pk))
    again = Archive.objects.get()
    assert (again.sha256, again.file) == (asked.sha256, asked.file)
    verbs = Entry.objects.filter(subject_id=str(asked.pk)).order_by("index").values_list("verb", flat=True)
    assert list(verbs) == ["ask_archive", "keep_archive"]
    assert verifier.verify("a.zip", asked.path.read_bytes(), before.anchors()).code == 0


def test_an_archive_that_cannot_be_made_says_so(before, cast, monkeypatch):
    """Not tried for ever; why is in the log."""
    asked = archive_actions.ask_archive(operation=before.operation, reason=REASON, by=cast.safety, at=RECEIVED)
    monkeypatch.setattr("opsrisk.briefing.jobs.archive", lambda _: 1 / 0)
    make_archive(str(asked.pk))
    asked.refresh_from_db()
    assert asked.state == Archive.State.FAILED
    assert "ZeroDivisionError" in Entry.objects.get(verb="give_up_archive").detail
    assert not Archive.objects.waiting().exists()


def test_a_late_fault_undoes_no_archive(before, cast):
    """Another run made the file: what fails afterwards says nothing and changes nothing."""
    asked = archive_actions.ask_archive(operation=before.operation, reason=REASON, by=cast.safety, at=RECEIVED)
    make_archive(str(asked.pk))
    assert not archive_actions.give_up_archive(archive=asked, why="late", at=RECEIVED)
    asked.refresh_from_db()
    assert asked.state == Archive.State.READY
    assert not Entry.objects.filter(verb="give_up_archive").exists()


def test_asked_for_and_taken_on_the_desk(before, cast, fresh, django_capture_on_commit_callbacks):
    """The chief asks, the page shows it, the file is the one that was made, and each step is in the log with the reason."""
    browser, address = fresh(cast.chief), reverse("archives", args=[before.operation.pk])
    page = browser.get(address).content.decode()
    assert next(iter(signing.public_keys().values())) in page
    assert hashlib.sha256(Path(verifier.__file__).read_bytes()).hexdigest() in page
    assert "photos as the cameras wrote them, with the place" in page
    assert "For whom and why" in page and "may stay empty" not in page
    for reason in ("", "why"):
        assert browser.post(address, {"reason": reason}).status_code == 422
    with django_capture_on_commit_callbacks(execute=True):
        assert browser.post(address, {"reason": REASON}).status_code == 302
    row = Archive.objects.get()
    assert REASON in browser.get(address).content.decode()
    answer = browser.get(reverse("archive_file", args=[row.pk]))
    assert answer.content == row.path.read_bytes()
    found = verifier.verify("a.zip", answer.content, before.anchors())
    assert found.code == 0, told(found)
    verbs = Entry.objects.filter(subject_id=str(row.pk)).order_by("index").values_list("verb", "actor")
    assert [verb for verb, _ in verbs] == ["ask_archive", "keep_archive", "hand_out_archive"]
    assert {actor for verb, actor in verbs if verb != "keep_archive"} == {str(cast.chief.pk)}


def test_the_desk_asks_for_the_password_again(before, cast, as_person):
    """Whoever finds a desk unlocked takes nothing away: without a fresh sign-in neither page nor file."""
    cast.chief.set_password("seven herons on the weir")
    cast.chief.save()
    browser = as_person(cast.chief)
    asked = archive_actions.ask_archive(operation=before.operation, reason=REASON, by=cast.chief, at=RECEIVED)
    make_archive(str(asked.pk))
    for name, of in (("archives", before.operation), ("archive_file", asked)):
        answer = browser.get(reverse(name, args=[of.pk]))
        assert answer.status_code == 302
        assert answer["Location"].startswith(reverse("account_reauthenticate"))
    assert not Entry.objects.filter(verb="hand_out_archive").exists()


def test_a_changed_file_is_not_handed_out(before, cast, fresh):
    """A byte changed on the server's disk, and the page says so instead."""
    asked = archive_actions.ask_archive(operation=before.operation, reason=REASON, by=cast.chief, at=RECEIVED)
    make_archive(str(asked.pk))
    asked.refresh_from_db()
    asked.path.write_bytes(asked.path.read_bytes() + b"\n")
    answer = fresh(cast.chief).get(reverse("archive_file", args=[asked.pk]))
    assert answer.status_code == 500
    assert b"not the one that was made" in answer.content


def test_the_command_writes_the_same(before, tmp_path):
    """By id, to a new file, with a reason; the log names the command line."""
    out = io.StringIO()
    path = tmp_path / "op.zip"
    call_command("export_operation", str(before.operation.pk), out=path, reason=REASON, stdout=out)
    assert verifier.verify("op.zip", path.read_bytes(), before.anchors()).code == 0
    assert next(iter(signing.public_keys().values())) in out.getvalue()
    assert hashlib.sha256(verifier.unpacked(path.read_bytes())["verify_operation.py"]).hexdigest() in out.getvalue()
    assert Entry.objects.get(verb="hand_out_archive").actor_name == "command line"
    for wrong, words in (
        ({"out": path}, "does not exist yet"),
        ({"out": tmp_path / "b.zip", "reason": "why"}, "reason"),
        ({"out": tmp_path / "b.zip", "operation": "x"}, "operation"),
    ):
        given = {"operation": str(before.operation.pk), "out": tmp_path / "b.zip", "reason": REASON} | wrong
        with pytest.raises(CommandError, match=words):
            call_command("export_operation", given.pop("operation"), **given, stdout=io.StringIO())


def test_the_commands_file_is_its_owners_alone(before, tmp_path):
    """Whatever the umask; where it cannot be written nothing is said to be handed out."""
    former = os.umask(0)
    try:
        path = tmp_path / "op.zip"
        call_command("export_operation", str(before.operation.pk), out=path, reason=REASON, stdout=io.StringIO())
    finally:
        os.umask(former)
    assert path.stat().st_mode & 0o777 == 0o600
    with pytest.raises(CommandError, match="accepted a new file"):
        nowhere = tmp_path / "none" / "op.zip"
        call_command("export_operation", str(before.operation.pk), out=nowhere, reason=REASON, stdout=io.StringIO())
    assert Entry.objects.filter(verb="hand_out_archive").count() == 1


def test_what_arrives_later_is_in_the_next_archive(before, made, cast):
    """A later record changes the bytes, and the older archive's head is part of the newer log."""
    record = sending.record(cast, number=80, revision=3, previous=before.second.digest)
    late = sending.sign(record, cast.supervisor, at=sending.ASSESSED + timedelta(minutes=9))
    sending.send(cast, sending.body(record, late), key="third")
    newer = archive(before.operation)
    assert newer != made
    assert verifier.verify("a.zip", newer, before.anchors()).code == 0
    assert len(json.loads(verifier.unpacked(newer)["manifest.json"])["revisions"]) == 3


def test_a_void_and_a_round_of_brief_backs_are_in_it(before, cast):
    """Who said what back, and that a record was declared void, stand on the page; a void left off the list is told."""
    all_back(cast, before.second)
    before.first.refresh_from_db()
    declared_void(cast, before.first)
    files = verifier.unpacked(archive(before.operation))
    page = files["index.html"].decode()
    assert "VOID" in page
    assert VOID_REASON in page
    assert "Superseded by revision 2." in page and page.count("Current when this archive was made") == 1
    declared_void(cast, before.second)
    page = verifier.unpacked(archive(before.operation))["index.html"].decode()
    assert "Current when this archive was made" not in page
    assert re.findall(r"<h2>Revision \d(, VOID)?: ", page) == [", VOID"] * 2
    told_of = json.loads(files["told.json"])
    assert [one["revision"] for one in told_of["rounds"]] == [2]
    found = verifier.verify("a.zip", verifier.packed(files), before.anchors())
    assert found.code == 0, told(found)
    assert VOID_REASON in told(found)
    document = json.loads(files["manifest.json"])
    for one in document["revisions"]:
        one["void"] = None
    hidden = verifier.verify("a.zip", by_the_insider(files, document), before.anchors())
    assert "1 records were declared void by the log, 0 by the list" in told(hidden)


def test_photos_are_in_it_or_missing_in_words(before, cast):
    """One that a record names and that has not come is missing, outcome 2; then it is there; another in its place is told."""
    data = jpeg(colour="teal")
    made = manifest(cast.supervisor, before.operation, data, 7)
    sending.received(cast, number=90, revision=3, previous=before.second.digest, photos=[named(made)])
    found = verifier.verify("a.zip", archive(before.operation), before.anchors())
    assert found.code == 2, told(found)
    assert any(what.startswith("photo ") for what in found.of("not checked"))
    announce(cast.supervisor, made)
    send_parts(cast.supervisor, made, data)
    whole = archive(before.operation)
    files = verifier.unpacked(whole)
    (listed,) = [one for one in json.loads(files["manifest.json"])["attachments"] if "photo" in one]
    assert files[listed["file"]] == data
    assert verifier.verify("a.zip", whole, before.anchors()).code == 0
    swapped = by_the_insider(files | {listed["file"]: jpeg(tail=b"swapped")}, json.loads(files["manifest.json"]))
    assert "photos: 1 that a record names" in told(verifier.verify("a.zip", swapped, before.anchors()))
