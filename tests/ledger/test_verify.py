"""Every way of altering the log is found, even by somebody who owns the database."""

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from opsrisk import jobs
from opsrisk.ledger import actions, chain, exports, signing
from opsrisk.ledger.models import Entry, Head
from tests.cast import NOON
from tests.ledger.test_append import append

pytestmark = pytest.mark.django_db


@pytest.fixture
def log(settings, tmp_path):
    """Ten entries, a head exported after the seventh, and a database owner's freedom from triggers."""
    settings.DATA = tmp_path
    for number in range(7):
        append(number)
    exported = actions.head()
    for number in range(7, 10):
        append(number)
    with connection.cursor() as cursor:
        on = " ON ledger_entry" if connection.vendor == "postgresql" else ""
        cursor.execute(f"DROP TRIGGER ledger_entry_refuses_update{on}")
        cursor.execute(f"DROP TRIGGER ledger_entry_refuses_delete{on}")
    return exported


def found(*heads) -> list[str]:
    return [problem.what for problem in actions.verify(exported=heads).problems]


def rehash_everything() -> None:
    """What a forger with the server's key would do after altering rows."""
    peaks = []
    for place, entry in enumerate(Entry.objects.order_by("index")):
        leaf = chain.leaf_hash(actions.entry_bytes(entry))
        Entry.objects.filter(pk=entry.pk).update(leaf_hash=leaf.hex())
        peaks = chain.grow(peaks, leaf)
        size = place + 1
    head = Head.objects.get()
    head.size, head.root = size, chain.root_of(peaks).hex()
    stamp = actions.head().at
    signed = signing.sign(actions._head_bytes(head.size, head.root, stamp))
    head.key_id, head.signature = signed.key_id, signed.signature
    head.save()


def test_an_untouched_log_has_no_problems(log):
    """The head, the rows and the export agree."""
    assert found(log) == []


@pytest.mark.parametrize(
    "field, value",
    [
        ("verb", "forged"),
        ("actor", "p2"),
        ("actor_name", "Somebody Else"),
        ("subject_id", "99"),
        ("detail", '{"number":99}'),
        ("at", NOON + timedelta(microseconds=1)),
        ("logged_at", NOON),
        ("agency_id", "6f3c0d5e-5d0b-4a53-9a58-0f3f2a1f7c11"),
    ],
)
def test_an_altered_field_is_found(log, field, value):
    """Every field of an entry is under its hash."""
    Entry.objects.filter(index=3).update(**{field: value})
    assert "the entry was altered after it was written" in found()


def test_a_deleted_entry_is_found(log):
    """A gap shows."""
    Entry.objects.filter(index=4).delete()
    assert "entry 4 is missing or out of place" in found()


def test_swapped_entries_are_found(log):
    """Order is part of the record."""
    two, three = Entry.objects.get(index=2), Entry.objects.get(index=3)
    Entry.objects.filter(index=2).update(detail=three.detail, leaf_hash=three.leaf_hash)
    Entry.objects.filter(index=3).update(detail=two.detail, leaf_hash=two.leaf_hash)
    assert found()


def test_a_log_cut_off_at_the_end_is_found(log):
    """The head speaks of more entries than there are."""
    Entry.objects.filter(index=9).delete()
    assert any("the head speaks of 10 entries" in what for what in found())


def test_a_forged_head_is_found(log):
    """Only the server's key signs heads."""
    Head.objects.update(root="0" * 64)
    assert "the head's signature does not hold" in found()


def test_rewriting_everything_with_the_servers_key_is_found_by_an_exported_head(log):
    """Whoever owns database and key still cannot agree with a head that was kept elsewhere."""
    Entry.objects.filter(index=3).update(verb="forged")
    rehash_everything()
    assert found() == []
    assert any("the first 7 entries are not those that were exported" in what for what in found(log))


def test_cutting_behind_an_exported_head_is_found(log):
    """A log shorter than one that was exported has lost entries."""
    Entry.objects.filter(index__gte=5).delete()
    rehash_everything()
    assert found() == []
    assert found(log) == ["the log was cut: 7 entries were exported, 5 are here"]


def test_a_forked_log_is_found(log):
    """Two logs from one beginning, each shown to somebody else: one of the two heads does not fit."""
    here = actions.head()
    Entry.objects.filter(index=9).update(verb="told to the others")
    rehash_everything()
    there = actions.head()
    assert (here.size, here.root == there.root) == (there.size, False)
    assert found(log, there) == []
    assert found(log, here, there) == [f"the first 10 entries are not those that were exported at {here.at}"]


def test_an_entry_put_between_is_found(log):
    """One more entry in the past, everything behind it moved up and hashed again."""
    for entry in Entry.objects.order_by("-index").filter(index__gte=4):
        Entry.objects.filter(index=entry.index).update(index=entry.index + 1)
    Entry.objects.create(**{**Entry.objects.filter(index=3).values()[0], "index": 4, "leaf_hash": "0" * 64})
    rehash_everything()
    assert found() == []
    assert any("the first 7 entries are not those that were exported" in what for what in found(log))


def test_an_export_that_another_key_signed_is_refused(log):
    """A head from elsewhere proves nothing about this log."""
    stranger = actions.SignedHead(log.size, log.root, log.at, log.key_id, "A" * 86 + "==")
    assert found(stranger) == ["the exported head of 7 entries was not signed here"]


def test_old_heads_hold_after_the_key_was_rotated(log):
    """Public keys are kept for ever; the old private one is gone."""
    old = log.key_id
    new = actions.rotate_key(by="p1", by_name="Ines Varga", at=NOON)
    assert found(log) == []
    assert actions.head().key_id == new
    assert not (signing.folder() / f"{old}.key").exists()


def test_the_private_key_is_readable_by_its_owner_only(log):
    """The file's mode keeps other accounts of the machine out."""
    (key,) = signing.folder().glob("*.key")
    assert key.stat().st_mode & 0o777 == 0o600


def test_command_says_that_nothing_was_altered(log):
    """An auditor gets a sentence and exit code 0."""
    out = StringIO()
    call_command("check_audit", stdout=out)
    assert "10 entries" in out.getvalue()
    assert "nothing was altered" in out.getvalue()


def test_command_names_the_entry_that_was_altered(log):
    """An auditor gets the place and a failing exit code."""
    Entry.objects.filter(index=3).update(verb="forged")
    with pytest.raises(CommandError, match="entry 3: the entry was altered") as refused:
        call_command("check_audit", stdout=StringIO())
    assert refused.value.returncode == 1


def test_command_compares_with_heads_kept_elsewhere(log, tmp_path):
    """The file of heads may come from another machine."""
    kept = tmp_path / "elsewhere.jsonl"
    kept.write_text(json.dumps(log.document() | {"root": "0" * 64}) + "\n")
    with pytest.raises(CommandError, match="not signed here"):
        call_command("check_audit", heads=kept, stdout=StringIO())


def test_a_broken_export_is_refused_by_line(tmp_path):
    """A line that is no head is named."""
    kept = tmp_path / "heads.jsonl"
    kept.write_text('{"size": 1}\n')
    with pytest.raises(exports.BadExport, match=r"heads.jsonl line 1: given .*accepted a signed head"):
        exports.read(kept)


def test_the_nightly_job_counts_what_it_finds(log):
    """0 on an untouched log, and the altered entry logged otherwise."""
    assert jobs.run("ledger.verify") == 0
    Entry.objects.filter(index=3).update(verb="forged")
    assert jobs.run("ledger.verify") > 0


def test_the_hourly_export_writes_each_head_once(log):
    """Running the job twice does no harm."""
    assert jobs.run("ledger.export_head") is True
    assert jobs.run("ledger.export_head") is False
    assert [head.size for head in exports.read(exports.path())] == [10]


def test_the_key_is_rotated_from_the_command_line(log):
    """The new id is printed, and the rotation is in the log under it."""
    out = StringIO()
    call_command("rotate_server_key", stdout=out)
    assert out.getvalue().strip() == actions.head().key_id
    assert Entry.objects.get(verb="rotate_key").actor == "system"
    assert found(log) == []
