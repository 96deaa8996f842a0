"""What an archive takes in and when: entries that are about its operation, under a lock that is held briefly."""

import json
from datetime import timedelta

import pytest
from django.db import connection

from opsrisk import files as kept
from opsrisk.agencies.audit_actions import note_log_read, note_refusal
from opsrisk.briefing import jobs
from opsrisk.briefing.archive_actions import ask_archive
from opsrisk.briefing.inquiry import archive as made_in
from opsrisk.briefing.inquiry import index
from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.models import Archive
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.ledger.models import Entry
from opsrisk.operations.models import Operation
from opsrisk.operations.void_actions import state, void_record
from tests.briefing.inquiry.past import RECEIVED, another_operation, elsewhere
from tests.operations.photos import whole_photo
from tests.review.past_files import row, taken


def test_entries_that_only_mention_the_operation_are_not_in_it(before, cast):
    """A void elsewhere whose reason names it, who read the log about it, who was refused its page: not in its archive."""
    own, later = str(before.operation.pk), RECEIVED + timedelta(hours=2)
    theirs = another_operation(cast).assessments.get()
    shown = state(theirs)
    reason = f"The same dive is recorded as operation {own}"
    void_record(assessment=theirs, shown=shown, reason=reason, by=cast.chief, at=later)
    note_log_read(by=cast.chief, asked={"text": own}, at=later)
    note_log_read(by=cast.chief, asked={"operation": own}, at=later)
    note_refusal(person=cast.diver, method="GET", path=f"/operations/{own}/", status=403, at=later)
    asked = ask_archive(operation=before.operation, reason="For the county coroner, file 12", by=cast.chief, at=later)
    made = archive(before.operation)
    entries = [json.loads(line) for line in verifier.unpacked(made)["log/entries.jsonl"].splitlines()]
    verbs = [one["verb"] for one in entries]
    assert not {"void_record", "read_log", "refused"} & set(verbs)
    assert [one["subject_id"] for one in entries if one["verb"] == "ask_archive"] == [str(asked.pk)]
    assert [one["index"] for one in entries] == sorted(one["index"] for one in entries)
    found = verifier.verify("a.zip", made, before.anchors())
    assert found.code == 0, found.lines


def test_a_void_elsewhere_in_an_archive_made_before_is_no_alteration():
    """The verifier counts the voids of the archive's own operation."""
    entries = {
        1: {"verb": "void_record", "detail": {"digest": "a", "operation": "B", "reason": "as A"}},
        2: {"verb": "void_record", "at": "now", "actor_name": "x", "detail": {"digest": "b", "operation": "A", "reason": "r"}},
    }  # fmt: skip
    manifest = {"operation": {"id": "A"}, "revisions": [{"digest": "b", "void": {"at": "now"}}]}
    found = verifier.Findings()
    verifier.check_voids(found, manifest, entries)
    assert found.code == 0, found.lines
    manifest["revisions"][0]["void"] = None
    verifier.check_voids(found, manifest, entries)
    assert found.of("DOES NOT HOLD") == ["1 records were declared void by the log, 0 by the list"]


def test_nothing_slow_is_done_while_every_write_waits(before, cast, monkeypatch):
    """No file is read and no page made inside; nothing but leaves of the log, which never change, is asked outside."""
    whole_photo(cast, before.operation)
    outside, slow, asked = len(connection.savepoint_ids), [], []

    def noted(was):
        def go(*arguments):
            slow.append(len(connection.savepoint_ids))
            return was(*arguments)

        return go

    def watch(execute, sql, *more):
        if len(connection.savepoint_ids) == outside and "SAVEPOINT" not in sql:
            asked.append(sql)
        return execute(sql, *more)

    monkeypatch.setattr(kept, "read", noted(kept.read))
    monkeypatch.setattr(index, "render_to_string", noted(index.render_to_string))
    with connection.execute_wrapper(watch):
        made = archive(before.operation)
    assert slow == [outside] * 3  # a sheet, a photo, the page
    assert len(asked) == 1 and "leaf_hash" in asked[0] and "detail" not in asked[0], asked
    assert verifier.verify("a.zip", made, before.anchors()).code == 0


def test_what_is_written_while_the_files_are_read_is_not_in_it(before, monkeypatch):
    """Rows, page and log are those of one moment, under that moment's head."""
    monkeypatch.setattr(made_in, "unchanged", lambda *given: elsewhere(9) or kept.unchanged(*given))
    size = Entry.objects.count()
    made = archive(before.operation)
    assert Entry.objects.count() > size
    assert json.loads(verifier.unpacked(made)[verifier.MANIFEST])["head"]["size"] == size
    assert verifier.verify("a.zip", made, before.anchors()).code == 0


def test_an_archive_of_too_many_photos_says_so_before_it_reads_them(before, cast, monkeypatch):
    """How large it would be and what is accepted: for who calls, and in the log for who asked at the desk."""
    photo = whole_photo(cast, before.operation)
    monkeypatch.setattr(verifier, "LARGEST_ARCHIVE", photo.size - 1)
    monkeypatch.setattr(kept, "read", lambda _: pytest.fail("was read"))
    words = f"archive: given {photo.size} bytes of photos, accepted at most {photo.size - 1}"
    with pytest.raises(verifier.TooLarge, match=words):
        archive(before.operation)
    asked = ask_archive(
        operation=before.operation, reason="For the county coroner, file 12", by=cast.chief, at=RECEIVED
    )
    jobs.make_archive(str(asked.pk))
    asked.refresh_from_db()
    assert asked.state == Archive.State.FAILED
    assert words in Entry.objects.get(verb="give_up_archive").detail


def test_an_imported_operation_has_its_file_and_nothing_made_up(before, cast):
    """What the file said, its digest and the entry under which it came in; no revision, and it all checks."""
    taken(cast, row(1), row(2))
    [operation, _] = Operation.objects.filter(imported__isnull=False).order_by("title")
    made = archive(operation)
    found = verifier.unpacked(made)
    said = json.loads(found["told.json"])["imported"]
    assert (said["line"], said["done"], said["sha256"]) == (2, "Vehicle first", operation.imported.of.sha256)
    assert "confirm_import" in found["log/entries.jsonl"].decode()
    page = found["index.html"].decode()
    assert "no assessment, no score" in page and "past.csv" in page and "Van 2" not in page
    checked = verifier.verify("a.zip", made, before.anchors())
    assert checked.code == 0, checked.lines
    assert "imported" not in json.loads(verifier.unpacked(archive(before.operation))["told.json"])
