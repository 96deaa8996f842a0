"""The seal on the file: poppler, which is not ours, says whether it holds."""

import io
import json
import random
import re
import subprocess

import pikepdf
import pytest
from cryptography import x509

from opsrisk.assessment.record import canonical, digest
from opsrisk.briefing import seal
from opsrisk.briefing.models import Sheet
from opsrisk.protocols.models import NotAsStored

GOOD = "Signature is Valid"
FLIPS = 40


def pdfsig(path):
    done = subprocess.run(["pdfsig", "-nocert", str(path)], check=False, capture_output=True, text=True)
    return done.stdout + done.stderr


@pytest.fixture
def sealed(issue, sheet_file):
    return sheet_file(issue()).read_bytes()


def signed_ranges(data):
    first, length, second, rest = map(int, re.search(rb"/ByteRange\s*\[\s*(\d+) (\d+) (\d+) (\d+)", data).groups())
    return range(first, first + length), range(second, second + rest)


def test_the_seal_holds(issue, sheet_file):
    """A finished sheet carries one PAdES signature over all its bytes that another program finds valid."""
    sheet = issue()
    assert sheet.state == Sheet.State.READY
    said = pdfsig(sheet_file(sheet))
    assert said.count(GOOD) == 1
    assert "ETSI.CAdES.detached" in said
    assert "Total document signed" in said
    assert "O=Tarrow County Dive Rescue" in said


def test_the_seal_covers_everything_but_itself(sealed):
    """What is signed is the whole file except the place where the signature stands."""
    before, after = signed_ranges(sealed)
    assert before.start == 0
    assert after.stop == len(sealed)
    gap = sealed[before.stop : after.start]
    assert re.fullmatch(rb"<[0-9a-fA-F]+>", gap)


def test_a_flipped_byte_breaks_the_seal(sealed, tmp_path):
    """One bit changed anywhere in what is signed, and the other program no longer finds the seal valid."""
    before, after = signed_ranges(sealed)
    places = [*before, *after]
    rng = random.Random(7)
    for place in rng.sample(places, FLIPS):
        changed = bytearray(sealed)
        changed[place] ^= 1 << rng.randrange(8)
        path = tmp_path / "changed.pdf"
        path.write_bytes(changed)
        assert GOOD not in pdfsig(path), place


def test_words_added_afterwards_are_seen(sealed, tmp_path):
    """A file saved again with something added is no longer wholly covered by the seal."""
    path = tmp_path / "added.pdf"
    path.write_bytes(sealed + b"\n% one line more\n")
    said = pdfsig(path)
    assert "Total document signed" not in said


def test_the_record_is_in_the_file(sealed, assessment):
    """The attached record is, to the byte, the record that was signed."""
    with pikepdf.open(io.BytesIO(sealed)) as pdf:
        inside = {name: pdf.attachments[name].get_file().read_bytes() for name in pdf.attachments}
    assert inside.keys() == {"record.json", "situation.json", "decision.json", "protocol.json", "signatures.json"}
    assert inside["record.json"] == assessment.record.encode()
    record = json.loads(assessment.record)
    assert inside["situation.json"] == canonical(record["situation"])
    assert inside["decision.json"] == canonical(record["decision"])
    assert digest(json.loads(inside["protocol.json"])) == assessment.protocol.digest
    signatures = json.loads(inside["signatures.json"])["signatures"]
    assert [one["name"] for one in signatures] == ["Ines Varga", "Mara Quill"]


def test_a_sheet_is_made_although_the_protocol_was_altered(issue, sheet_file, assessment, caplog, monkeypatch):
    """The crew gets the sheet of a good record; the altered rules are not put inside, and the server's log says so."""

    def altered(_):
        raise NotAsStored("the stored document has another digest")

    monkeypatch.setattr(type(assessment.protocol), "rules", altered)
    with pikepdf.open(io.BytesIO(sheet_file(issue()).read_bytes())) as pdf:
        assert "protocol.json" not in pdf.attachments
        assert "record.json" in pdf.attachments
    assert "the protocol was altered" in caplog.text


def test_the_seal_field_is_in_the_tag_tree(sealed):
    """The file is tagged, says its language and title, and the signature field has a place among the tags."""
    with pikepdf.open(io.BytesIO(sealed)) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert str(pdf.Root.Lang) == "en"
        assert "Dive briefing sheet" in str(pdf.docinfo.Title)
        field = pdf.Root.AcroForm.Fields[0]
        numbers = pdf.Root.StructTreeRoot.ParentTree.Nums
        parents = {int(numbers[i]): numbers[i + 1] for i in range(0, len(numbers), 2)}
        element = parents[int(field.StructParent)]
        assert str(element.S) == "/Form"
        assert element.K.Obj.objgen == field.objgen


def test_the_file_claims_no_conformance(sealed):
    """No validator has seen it, so the file does not say that it conforms to an archive profile."""
    with pikepdf.open(io.BytesIO(sealed)) as pdf, pdf.open_metadata() as about:
        assert not [name for name in about if "pdfa" in name or "pdfuaid" in name]


def test_each_agency_has_its_certificate(issue, cast):
    """The development authority signs a P-256 certificate in the agency's name; both files are private."""
    issue()
    files = {path.name: path.stat().st_mode & 0o777 for path in seal.folder().glob("*.p12")}
    assert set(files) >= {"authority.p12", f"{cast.agency.pk}.p12"}
    assert set(files.values()) == {0o600}
    authority = x509.load_pem_x509_certificate((seal.folder() / "authority.pem").read_bytes())
    assert authority.public_key().curve.name == "secp256r1"


def test_a_certificate_that_cannot_be_read_makes_no_sheet(issue, settings, caplog):
    """A wrong OPSRISK_SEAL_PKCS12 fails the sheet and says which setting; nothing unsealed is handed out."""
    settings.SEAL_PKCS12 = "/nowhere/seal.p12"
    sheet = issue()
    assert sheet.state == Sheet.State.FAILED
    assert sheet.pdf == ""
    assert "OPSRISK_SEAL_PKCS12: given /nowhere/seal.p12" in caplog.text


def test_production_certificate_seals(issue, sheet_file, settings, tmp_path, assessment):
    """With OPSRISK_SEAL_PKCS12 the seal is made with that certificate."""
    other = seal._development_certificate(assessment.pk, "Bought elsewhere", assessment.assessed_at)
    path = tmp_path / "bought.p12"
    path.write_bytes(other.read_bytes())
    settings.SEAL_PKCS12 = str(path)
    assert "O=Bought elsewhere" in pdfsig(sheet_file(issue()))
