"""The verifier alone, in an empty folder, with nothing of the program: holds what is whole, says what is not."""

import json
import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from opsrisk.briefing import seal
from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.ledger import actions, chain, signing
from opsrisk.ledger.models import Entry
from opsrisk.operations.shown import evidence
from tests.briefing.inquiry import tampering
from tests.briefing.inquiry.past import OTHER, RECEIVED, another_operation
from tests.operations import sending


@pytest.fixture
def alone(before, made, tmp_path):
    """An empty folder with the program that came out of the archive, and what an inquirer has from elsewhere."""
    folder = tmp_path / "alone"
    folder.mkdir()
    shutil.copy(verifier.__file__, folder / "verify_operation.py")
    (folder / "key").write_text("\n".join(signing.public_keys().values()))
    (folder / "ca.pem").write_bytes(seal.authorities())
    (folder / "heads.jsonl").write_text("".join(json.dumps(head) + "\n" for head in before.heads))
    (folder / "op.zip").write_bytes(made)

    def run(*arguments, data=None, name="given", without=()):
        if data is not None:
            (folder / name).write_bytes(data)
            arguments = (name, *arguments)
        known = {"--key": "key", "--authority": "ca.pem", "--heads": "heads.jsonl"}
        options = [word for option, value in known.items() if option not in without for word in (option, value)]
        done = subprocess.run(
            [sys.executable, "-I", "verify_operation.py", *arguments, *options],
            cwd=folder, capture_output=True, text=True, check=False, env={"PATH": os.environ["PATH"]},
        )  # fmt: skip
        assert "Traceback" not in done.stderr, done.stderr
        return done.returncode, done.stdout + done.stderr

    return run


def test_the_program_imports_nothing_of_ours():
    """Standard library and cryptography; pyhanko and what it is made of only where asked for."""
    text = Path(verifier.__file__).read_text()
    modules = set(re.findall(r"^\s*(?:from|import) ([a-z0-9_]+)", text, re.MULTILINE))
    ours = modules - set(sys.stdlib_module_names)
    assert ours == {"cryptography", "asn1crypto", "pyhanko", "pyhanko_certvalidator"}


def test_a_whole_archive_holds(alone):
    """Exit code 0, every outcome in words; how long it took is printed (`pytest -s`), since machines differ."""
    began = time.monotonic()
    code, said = alone("op.zip")
    print(f"an archive of two revisions: {time.monotonic() - began:.2f} s, start of Python included")
    assert code == 0, said
    assert "everything was checked and holds" in said


def test_the_program_in_the_archive_is_this_one(files):
    """What an inquirer gets is what is tested here."""
    assert files["verify_operation.py"] == Path(verifier.__file__).read_bytes()


def test_an_unpacked_archive_holds_and_shows_what_was_put_in(alone, files, tmp_path):
    """A folder is checked file by file; one file more is named."""
    folder = tmp_path / "unpacked"
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    assert alone(str(folder))[0] == 0
    (folder / "more.txt").write_text("x")
    code, said = alone(str(folder))
    assert code == 1
    assert "more.txt: is here and not listed" in said


def test_without_a_key_it_says_so(alone):
    """Nothing is wrong, but whose server it is stays open: exit code 2, with the key to compare."""
    code, said = alone("op.zip", without=("--key",))
    assert code == 2
    assert "no --key was given" in said
    assert next(iter(signing.public_keys().values())) in said


def test_another_servers_key_is_refused(alone, tmp_path):
    """The archive of a server that nobody knows proves nothing to who knows another one."""
    stranger = signing.Ed25519PrivateKey.generate().public_key().public_bytes_raw()
    key = verifier.base64.b64encode(stranger).decode()
    code, said = alone("op.zip", "--key", key, without=("--key",))
    assert code == 1
    assert "is the one given" in said


@pytest.fixture
def target(before, cast, files):
    """The archive, and another operation of the same agency to graft from."""
    stored = another_operation(cast)
    leaves = [bytes.fromhex(one) for one in Entry.objects.order_by("index").values_list("leaf_hash", flat=True)]
    size = json.loads(files["manifest.json"])["head"]["size"]
    return tampering.Target(files, verifier.unpacked(archive(stored)), leaves[:size], tampering.random.Random(1))


# What has to stand in the answer, so that nothing is found for the wrong reason alone.
WORDS = {
    "signatures_of_another_record": "made on another record",
    "signature_relabelled": "does not hold for this record",
    "signature_of_another_meaning": "does not hold for this record",
    "signature_by_a_stranger": "the log does not know its key as that person's",
    "signature_taken_away": "log: it lists",
    "receipt_of_another_record": "is that of another record",
    "receipts_swapped": "is that of another record",
    "record_of_another_operation": "one of another operation",
    "sheet_of_another_operation": "the log knows no sheet with this SHA-256",
    "record_altered": "made on another record",
    "revision_left_out": "records of this operation",
    "sheet_left_out": "sheets were sealed and are not here",
    "line_left_out": "conditions log: 2 lines are here, 3 in the log",
    "line_altered": "they are not the same",
    "protocol_altered": "another digest than the one adopted",
    "entry_altered": "not in it as they stand here",
    "entry_left_out": "DOES NOT HOLD",
    "entries_reordered": "out of its order",
    "log_hashed_anew": "the log does not continue it",
    "file_put_in": "is here and not listed",
    "page_altered": "its content is not the one listed",
    "listed_by_another_key": "the list of files: the server's signature",
}


def test_every_alteration_is_told_in_words(alone, target):
    """Each graft, omission and forgery, made by somebody who even holds the server's key: exit code 1, and why."""
    assert {act.__name__ for act in tampering.GRAFTS} == WORDS.keys()
    for act in tampering.GRAFTS:
        code, said = alone(data=act(target), name="altered.zip")
        assert code == 1, (act.__name__, said)
        assert WORDS[act.__name__] in said, (act.__name__, said)


def test_a_log_hashed_anew_whose_old_heads_were_dropped_never_passes(target, before):
    """Without the proofs that a kept head asks for, the outcome is 2: ask for an archive with this head."""
    altered = verifier.unpacked(tampering.log_hashed_anew(target))
    dropped = tampering.by_the_insider(altered | {"log/heads.json": b"[]"}, json.loads(altered["manifest.json"]))
    found = verifier.verify("op.zip", dropped, before.anchors())
    assert found.code == 2
    assert all("ask for an archive with this head" in what for what in found.of("not checked"))


def test_an_old_archive_is_told_by_a_later_head(alone, made, cast):
    """A replay: whoever holds a head from after it was made sees that the log went on."""
    sending.send(cast, sending.body(r := sending.record(cast, number=9, operation=sending.record(cast)["operation"] | {"id": OTHER}), sending.sign(r, cast.supervisor)), key="x")  # fmt: skip
    later = actions.head().document()
    code, said = alone(data=made, name="old.zip", without=())
    assert code == 0, said
    anchors = verifier.Anchors(keys=signing.public_keys(), heads=[later])
    found = verifier.verify("old.zip", made, anchors)
    assert any("this archive's log ends earlier" in what for what in found.of("DOES NOT HOLD"))


def test_truncated_archives_are_told(alone, made):
    """Cut anywhere: words, no trace. Of nothing at all it says that it could not be read."""
    assert alone(data=b"", name="cut.zip")[0] == 2
    for length in (1, 3, 100, len(made) // 2, len(made) - 1):
        code, said = alone(data=made[:length], name="cut.zip")
        assert code == 1, said
        assert "DOES NOT HOLD" in said


def test_one_records_file_holds_and_shows_any_change(alone, before):
    """The record's file from the desk: exit code 0; a letter changed anywhere in it: 1."""
    whole = sending.canonical(evidence(before.second))
    code, said = alone(data=whole, name="record.json", without=("--heads",))
    assert code == 0, said
    for old, new in ((b'"0.50"', b'"0.51"'), (b"Ines", b"Inez"), (b'"revision":2', b'"revision":3'), (b"receipt", b"receipl")):  # fmt: skip
        assert old in whole, old
        code, said = alone(data=whole.replace(old, new, 1), name="record.json", without=("--heads",))
        assert code == 1, said


def test_bad_files_are_refused_by_name(alone):
    """Not JSON, not ours, not there, no key: words that name what was given and what is accepted.

    What was never an exhibit is not called altered (a misspelt name, an empty download): outcome 2.
    """
    for data in (b"", b"\xff\xfe", b"[]", b'{"a":1}', b"null", b"1.5", b"some text"):
        code, said = alone(data=data, name="bad.json")
        assert (code, "accepted one of these" in said, "ALTERED" in said) == (2, True, False), said
    for data in (
        b"%PDF-1.7\n%%EOF",
        b"PK\x03\x04",
        b'{"format":"opsrisk.evidence/1"}',
        b'{"format": "opsrisk.evidence/1',
    ):
        assert alone(data=data, name="bad.json")[0] == 1
    code, said = alone("nowhere.zip")
    assert (code, "cannot be read" in said) == (2, True)
    code, said = alone("op.zip", "--key", "rubbish", without=("--key",))
    assert (code, "cannot be read" in said) == (2, True)


def test_the_key_may_change_and_old_things_hold(before, cast, alone):
    """After the server's key was rotated twice, receipts, heads and sheets of before hold, by the old key and the new."""
    old = dict(signing.public_keys())
    for _ in range(2):
        actions.rotate_key(by="p", by_name="Installer", at=RECEIVED)
    newest = {key: value for key, value in signing.public_keys().items() if key == actions.head().key_id}
    assert len(signing.public_keys()) == 3
    made = archive(before.operation)
    for keys in (old, newest):
        found = verifier.verify("op.zip", made, verifier.Anchors(keys=keys, heads=before.heads))
        assert found.code == 0, found.lines


def test_a_handover_that_the_old_key_did_not_sign_links_nothing(before):
    """Whoever makes a key of their own cannot have it follow the server's."""
    actions.rotate_key(by="p", by_name="Installer", at=RECEIVED)
    (link,) = signing.handovers()
    anchors = verifier.Anchors(keys={link["old"]["id"]: link["old"]["public_key"]})
    assert link["new"]["id"] in verifier.trusted_keys(verifier.Findings(), anchors, signing.public_keys(), [link])
    for end in ("old", "new"):
        forged = link | {"signatures": link["signatures"] | {link[end]["id"]: "A" * 86 + "=="}}
        trusted = verifier.trusted_keys(verifier.Findings(), anchors, signing.public_keys(), [forged])
        assert link["new"]["id"] not in trusted


def test_its_tree_is_the_logs_tree():
    """The verifier's own reading of proofs, on every size from 1 to 257 and every place, against the log's."""
    leaves = [chain.leaf_hash(str(number).encode()) for number in range(257)]
    for size in range(1, 258):
        tree = chain.Tree(leaves[:size])
        for index in range(size):
            proof = tree.inclusion(index)
            assert verifier.included(leaves[index], index, size, proof, tree.root())
            assert not verifier.included(leaves[index], (index + 1) % (size + 1), size, proof, tree.root())
        for old in range(1, size + 1):
            proof, older = tree.consistency(old), tree.root(0, old)
            assert verifier.consistent(old, size, older, tree.root(), proof)
            assert not verifier.consistent(old, size, leaves[0][::-1], tree.root(), proof)


def test_its_canonical_json_is_ours(before):
    """The same bytes for a whole record and for text in any script."""
    record = json.loads(before.second.record)
    for value in (record, {"é": "ø", "\U0001f6a4": ["𐀀", "￿", ""], "a": None, "b": [True, 0, -1]}):
        assert verifier.canonical(value) == sending.canonical(value)
