"""Certificates and time stamps of authorities outside: the verifier says who vouches, since when, and what is revoked."""

import io
import json
from datetime import UTC, datetime, timedelta

import pikepdf
import pytest

from opsrisk.briefing import seal
from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.inquiry.campaign import padding_of
from opsrisk.briefing.models import Sheet
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.ledger import signing
from opsrisk.ledger.models import Entry
from tests.briefing import printed
from tests.briefing.inquiry.authorities import Issued, below_a_root, time_stamp_authority
from tests.briefing.inquiry.past import past
from tests.briefing.test_seal import GOOD, pdfsig
from tests.operations.sending import adopt_baseline

HOUR = timedelta(hours=1)


@pytest.fixture
def sealed_by(cast, settings, tmp_path):
    """An operation whose sheet was sealed with this certificate, and the sheet's bytes."""
    settings.DATA = tmp_path / "data"
    settings.DATA.mkdir()
    adopt_baseline(cast)

    def go(issued):
        settings.SEAL_PKCS12, settings.SEAL_PASSPHRASE = issued.pkcs12(tmp_path / "seal.p12", "phrase"), "phrase"
        made = past(cast)
        return made, (settings.FILES / made.sheets[0].pdf).read_bytes()

    return go


def looked(data, *authorities, crls=(), pades=False):
    found = verifier.Findings()
    anchors = verifier.Anchors(signing.public_keys(), [one.certificate for one in authorities], crls, pades=pades)
    verifier.check_seal(found, "sheet.pdf", data, anchors)
    return found, "\n".join(f"{state}: {what}" for state, what in found.lines)


@pytest.mark.parametrize("kind", ["ec", "rsa"])
def test_a_chain_from_an_outside_authority_holds(sealed_by, kind, tmp_path):
    """Root, issuing authority, seal: with the root given it holds, by pyhanko and pdfsig as well; with another it does not."""
    root, middle, issued = below_a_root(kind)
    made, data = sealed_by(issued)
    found, said = looked(data, root, pades=True)
    assert found.code == 0, said
    assert "Root of the county's authority" in said
    assert "pyhanko agrees" in said
    (tmp_path / "sheet.pdf").write_bytes(data)
    assert GOOD in pdfsig(tmp_path / "sheet.pdf")
    found, said = looked(data, Issued("Somebody else's root", authority=True))
    assert found.code == 1
    assert "not by the authority given" in said
    found, said = looked(data)
    assert found.code == 2
    assert "no --authority was given" in said
    whole = verifier.verify("a.zip", archive(made.operation), made.anchors())
    assert whole.code == 0, whole.lines
    assert middle.pem() in seal.authorities()


def test_a_revoked_certificate_is_told(sealed_by):
    """Revoked before the seal was made: broken; after: it holds, and says so; by a list of nobody's: nothing."""
    root, middle, issued = below_a_root()
    _, data = sealed_by(issued)
    now = datetime.now(UTC)
    found, said = looked(data, root, crls=[middle.revoking(issued, now - HOUR)])
    assert found.code == 1
    assert "certificate revoked at" in said
    found, said = looked(data, root, crls=[middle.revoking(issued, now + HOUR)])
    assert found.code == 0, said
    assert "after the seal was made" in said
    stranger = Issued("Issuing authority of the county", authority=True)
    assert looked(data, root, crls=[stranger.revoking(issued, now - HOUR)])[0].code == 0


def test_a_time_stamp_says_when(sealed_by, settings):
    """Stamped over HTTP: the verifier names time and authority, the log says that it was stamped, pyhanko agrees."""
    root, _, issued = below_a_root()
    stamps = Issued("Time stamps of the county", root, stamps=True, kind="rsa")
    with time_stamp_authority(stamps) as address:
        settings.TIME_STAMPS = address
        _, data = sealed_by(issued)
    found, said = looked(data, root, pades=True)
    assert found.code == 0, said
    assert "by CN=Time stamps of the county, issued by an authority given" in said
    assert json.loads(Entry.objects.get(verb="seal_sheet").detail)["time_stamp"] == "stamped"
    found, said = looked(data, issued)
    assert "the authority behind it was not given" in said
    changed = bytearray(data)
    changed[padding_of(data).start - 40] ^= 1  # within the stamp, which stands at the end of the seal
    assert looked(bytes(changed), root)[0].code == 1


def test_a_stamp_of_another_seal_is_told(sealed_by, settings):
    """The stamp is bound to the seal: the same attribute under another signature does not hold."""
    root, _, issued = below_a_root()
    with time_stamp_authority(Issued("Time stamps of the county", root, stamps=True, kind="rsa")) as address:
        settings.TIME_STAMPS = address
        _, data = sealed_by(issued)
    cms = verifier.Cms(verifier.sealed_parts(data)[1])
    (token,) = cms.time_stamps
    cms.signature += b"x"
    found = verifier.Findings()
    assert verifier.check_time_stamp(found, "sheet.pdf", token, cms, verifier.Anchors()) is None
    assert found.of("DOES NOT HOLD") == ["sheet.pdf: time stamp: was made for another seal"]


@pytest.mark.parametrize(
    "answer, words",
    [
        ((500, "text/plain", b"no"), "does not answer"),
        ((200, "text/html", b"<p>"), "answered text/html"),
        ((200, "application/timestamp-reply", b"rubbish"), "what is no time stamp"),
        (None, "does not answer"),
        ("ftp", "accepted an address that begins with http"),
    ],
)
def test_a_crew_gets_its_sheet_without_a_stamp(sealed_by, settings, answer, words):
    """Down, broken or somebody else's page: the sheet is sealed all the same, and the log says why it has no stamp."""
    root, _, issued = below_a_root()
    with time_stamp_authority(Issued("Time stamps", root, stamps=True, kind="rsa"), answer=answer) as address:
        settings.TIME_STAMPS = "ftp://x" if answer == "ftp" else "http://127.0.0.1:9/" if answer is None else address
        made, data = sealed_by(issued)
    assert made.sheets[0].state == Sheet.State.READY
    assert looked(data, root)[0].code == 0
    assert words in json.loads(Entry.objects.get(verb="seal_sheet").detail)["time_stamp"]


def test_a_file_saved_again_is_told(sealed_by):
    """Opened and saved by another program, cut, or put behind something: words, no trace."""
    root, _, issued = below_a_root()
    made, data = sealed_by(issued)
    with pikepdf.open(io.BytesIO(data)) as pdf:
        out = io.BytesIO()
        pdf.save(out)
    for altered in (out.getvalue(), data[:-1], data[: len(data) // 2], data + b"\n", b"%PDF-1.7\n" + data, data[:40]):
        found = verifier.verify("sheet.pdf", altered, made.anchors(authorities=[root.certificate]))
        assert found.code == 1, found.lines


def test_another_agencys_sheet_is_told(sealed_by, cast, settings, tmp_path):
    """Sealed by a neighbour: not by the authority given, not in this operation's log."""
    root, _, issued = below_a_root()
    made, data = sealed_by(issued)
    theirs, _, other = below_a_root()
    settings.SEAL_PKCS12 = other.pkcs12(tmp_path / "other.p12", "phrase")
    foreign = seal.sealed(
        printed.pdf("bare", "a4"), agency_id=cast.neighbour.pk, agency="Ellmere Harbour Watch", at=datetime.now(UTC)
    )[0]
    found = verifier.verify("sheet.pdf", foreign, made.anchors(authorities=[root.certificate]))
    assert any("not by the authority given" in what for what in found.of("DOES NOT HOLD"))
    whole = verifier.verify("a.zip", archive(made.operation), made.anchors())
    beside = verifier.verify("sheet.pdf", foreign, made.anchors(authorities=[theirs.certificate]), whole.opened)
    assert any("the log knows no sheet with this SHA-256" in what for what in beside.of("DOES NOT HOLD"))
    assert verifier.verify("sheet.pdf", data, made.anchors(authorities=[root.certificate]), whole.opened).code == 0
