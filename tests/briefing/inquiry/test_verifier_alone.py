"""The verifier as an inquirer meets it: files that cannot be used, text that would deceive, files made to burst it."""

import base64
import json
import subprocess
import sys
import zlib
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding

from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.ledger import signing
from tests.briefing.inquiry.authorities import Issued, below_a_root
from tests.briefing.inquiry.past import another_operation
from tests.operations import sending


@pytest.fixture
def run(tmp_path, capsys, monkeypatch):
    """The command line, in an empty folder: its exit code and all that it said."""
    monkeypatch.chdir(tmp_path)

    def go(*arguments, **files):
        for name, data in files.items():
            Path(name).write_bytes(data)
        code = verifier.main([*arguments])
        said = capsys.readouterr()
        return code, said.out + said.err

    return go


def test_without_cryptography_or_with_an_old_one_it_says_what_it_needs(tmp_path):
    """Exit code 2 and one line, no trace."""
    for inside in (
        "raise ImportError('No module named cryptography')",
        "x509 = type('x', (), {'Certificate': object})",
    ):
        (tmp_path / "cryptography").mkdir(exist_ok=True)
        (tmp_path / "cryptography" / "__init__.py").write_text(inside)
        start = f"import runpy, sys; sys.path.insert(0, {str(tmp_path)!r}); sys.argv[1:] = ['x.zip']; "
        start += f"runpy.run_path({verifier.__file__!r}, run_name='__main__')"
        done = subprocess.run([sys.executable, "-I", "-c", start], capture_output=True, text=True, check=False)
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr.startswith("nothing was checked: ")
        assert "cryptography, or newer" in done.stderr
        assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "option, data",
    [
        *[("--key", one) for one in (b"", b"rubbish", b"\xff\xfe", b"A" * 43 + b"=" + b"A" * 44, b"A" * 42 + b"B=")],
        *[("--heads", one) for one in (b"", b"{", b"[]", b"1", b'{"size":3}', b"\xff")],
        *[("--crl", one) for one in (b"", b"rubbish", b"-----BEGIN X509 CRL-----\nAAAA\n-----END X509 CRL-----")],
        *[("--authority", one) for one in (b"", b"rubbish", b"-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----")],
    ],
)  # fmt: skip
def test_what_the_inquirer_brought_is_never_called_altered(run, option, data):
    """A key, head, list or authority that cannot be used: outcome 2, named with its option."""
    code, said = run("x.pdf", option, "mine", mine=data, **{"x.pdf": b"%PDF-1.7"})
    assert code == 2, said
    assert f"{option} mine: " in said
    assert "ALTERED" not in said


def test_a_certificate_of_an_unknown_version_is_no_trace(run):
    """Among the authorities given: outcome 2, in words; in a seal or an archive: told as what it is."""
    odd = bytearray(Issued("Odd", authority=True).certificate.public_bytes(Encoding.DER))
    odd[odd.index(b"\xa0\x03\x02\x01\x02") + 4] = 9
    with pytest.raises(x509.InvalidVersion):
        x509.load_der_x509_certificate(bytes(odd))
    code, said = run("x.pdf", "--authority", "mine", mine=bytes(odd), **{"x.pdf": b"%PDF-1.7"})
    assert (code, "--authority mine: " in said) == (2, True)
    assert x509.InvalidVersion in verifier.FAULTS


def test_a_key_is_taken_whole(tmp_path):
    """No tail of a longer text, no last line of a certificate; one in its own line or after its id is found."""
    key = base64.b64encode(bytes(range(32))).decode()
    for text in (f"abcd{key}", f"{key}abcd", f"-----BEGIN X-----\nAAAA\n{key}\n-----END X-----\n"):
        path = tmp_path / "keys"
        path.write_text(text)
        with pytest.raises(verifier.Unreadable):
            verifier.keys_from(str(path))
    path.write_text(f"server's public key 0123456789abcdef: {key}\n")
    assert list(verifier.keys_from(str(path)).values()) == [key]


def test_text_from_a_file_cannot_pass_for_a_verdict(run, before, cast):
    """A title with line breaks, colours and signs that turn the writing round is printed so that one sees them."""
    title = "Basin\n  => everything was checked and holds\x1b[2J\u202e"
    record = sending.record(cast, number=60)
    record["operation"] |= {"id": "00000000-0000-4000-8000-0000000000cc"}
    sending.send(cast, sending.body(record, sending.sign(record, cast.supervisor)), key="title")
    operation = type(before.operation).objects.get(pk=record["operation"]["id"])
    type(operation).objects.filter(pk=operation.pk).update(title=title)
    code, said = run("op.zip", **{"op.zip": archive(operation)})
    assert code == 2
    assert said.count("=> ") == 2  # the one verdict, and the title's own words
    assert not any(line.startswith("  => everything") for line in said.splitlines())
    assert "\x1b" not in said and "\u202e" not in said
    code, said = run("op\x1b[2J.zip", **{"op\x1b[2J.zip": b""})
    assert "\x1b" not in said


def test_a_stream_that_cannot_show_a_name_gets_it_escaped(run, before, made, tmp_path):
    """On a screen of ASCII only: no trace."""
    (tmp_path / "op.zip").write_bytes(made)
    done = subprocess.run(
        [sys.executable, "-I", verifier.__file__, "op.zip", "運河"], cwd=tmp_path, check=False,
        capture_output=True, env={"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "LC_ALL": "C"},
    )  # fmt: skip
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr


def test_files_made_to_burst_are_refused_before_they_are_read(monkeypatch):
    """Packed members, members that overlap, and a document inside a sheet that grows without end."""
    import io
    import zipfile

    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("manifest.json", b"0" * 10_000_000)
    monkeypatch.setattr(zipfile.ZipFile, "read", lambda *_: pytest.fail("was read"))
    found = verifier.verify("a.zip", out.getvalue(), verifier.Anchors())
    assert found.of("DOES NOT HOLD") == ["the archive's envelope is packed otherwise than archives are"]
    whole = bytearray(verifier.packed({"a": b"1", "b": b"2"}))
    place = whole.index(b"PK\x01\x02")
    whole[place + 20 : place + 28] = (10**9).to_bytes(4, "little") * 2
    found = verifier.verify("a.zip", bytes(whole), verifier.Anchors())
    assert found.of("DOES NOT HOLD") == ["the archive's envelope promises more than the file can hold"]
    monkeypatch.setattr(verifier, "LARGEST_INSIDE", 2**20)
    head = b"%PDF-1.7 /Type /EmbeddedFile stream\n"
    for data in (head + zlib.compress(b"0" * 2**21), head * 101):
        with pytest.raises(verifier.Altered, match="more than any sheet holds"):
            verifier.embedded(data)


def test_more_than_an_archive_can_say_is_refused_when_it_is_made(monkeypatch):
    """Too many files, too many bytes: the words name what was given and what is accepted."""
    with pytest.raises(verifier.TooLarge, match="given 65536 files, accepted at most 65535"):
        verifier.packed({str(number): b"" for number in range(65536)})
    files = {"a": b"1" * 101, "ø": b""}
    size = len(verifier.packed(files))
    monkeypatch.setattr(verifier, "LARGEST_ARCHIVE", size)
    assert len(verifier.packed(files)) == size
    monkeypatch.setattr(verifier, "LARGEST_ARCHIVE", size - 1)
    with pytest.raises(verifier.TooLarge, match=f"given {size} bytes, accepted at most {size - 1}"):
        verifier.packed(files)


def test_sheets_are_looked_for_in_every_archive_given(run, before, cast, settings):
    """By content, whatever its name and place in the line; in the second archive as well; open where one did not open."""
    stored = another_operation(cast)
    (sheet,) = before.sheets
    data = (settings.FILES / sheet.pdf).read_bytes()
    files = {"A.PDF": data, "z.zip": archive(before.operation), "b.zip": archive(stored)}
    key = next(iter(signing.public_keys().values()))
    for order in (("A.PDF", "z.zip", "b.zip"), ("b.zip", "A.PDF", "z.zip")):
        code, said = run(*order, "--key", key, **files)
        assert code == 2, said  # no --authority was given
        assert "A.PDF: SHA-256 as in entry" in said
        assert "DOES NOT HOLD" not in said
    code, said = run("A.PDF", "b.zip", "--key", key)
    assert "A.PDF: the log knows no sheet with this SHA-256" in said
    code, said = run("A.PDF", "b.zip", "cut.zip", "--key", key, **{"cut.zip": files["z.zip"][:-1]})
    assert code == 1  # the archive that was cut
    assert "A.PDF: an archive that was given could not be opened" in said
    assert "the log knows no sheet" not in said


def test_a_sheet_alone_says_what_stays_open(run, before, settings):
    """Heads that it cannot be compared with, whose keys signed, and a receipt that is not inside."""
    (sheet,) = before.sheets
    data = (settings.FILES / sheet.pdf).read_bytes()
    heads = "".join(json.dumps(head) + "\n" for head in before.heads).encode()
    code, said = run("a.pdf", "--heads", "heads", heads=heads, **{"a.pdf": data})
    assert code == 2
    assert "--heads was given, and a sheet holds no log" in said
    assert "whose keys the persons' signatures were made with" in said
    inside = [json.loads(one) for one in verifier.embedded(data)]
    (given,) = [one for one in inside if isinstance(one, dict) and one.get("format") == verifier.SIGNATURES]
    (record,) = [one for one in inside if isinstance(one, dict) and one.get("format", "").startswith("opsrisk.record/")]
    found = verifier.Findings()
    awaiting = verifier.canonical(given | {"receipt": None})
    assert verifier._signatures_of(found, "a.pdf", awaiting, record, given["server_keys"])
    assert found.of("not checked") == ["a.pdf: receipt: none came along; the record awaits the server, or its receipt was taken away"]  # fmt: skip


def test_a_chain_is_followed_no_further_than_it_goes():
    """Two authorities that vouch for each other end the search."""
    root, middle, leaf = below_a_root()
    assert verifier.chain_of(leaf.certificate, [], [middle.certificate, root.certificate])[-1] == root.certificate
