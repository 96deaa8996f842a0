"""Certificates and time stamps of authorities outside: the verifier says who vouches, since when, and what is revoked."""

import io
import json
from datetime import UTC, datetime, timedelta

import pikepdf
import pytest

from opsrisk.briefing import seal
from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.models import Sheet
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.ledger import signing
from opsrisk.ledger.models import Entry
from tests.briefing import printed
from tests.briefing.inquiry.authorities import Issued, below_a_root, time_stamp_authority
from tests.briefing.inquiry.campaign import padding_of
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


def stamped_alone(issued, stamps, settings, at, number):
    """A sheet without an operation, sealed with `issued` and stamped by `stamps`, whose own chain comes along."""
    settings.DATA = settings.DATA / str(number)
    settings.DATA.mkdir(parents=True)
    settings.SEAL_PKCS12, settings.SEAL_PASSPHRASE = issued.pkcs12(settings.DATA / "seal.p12", "phrase"), "phrase"
    with time_stamp_authority(stamps, at) as address:
        settings.TIME_STAMPS = address
        return seal.sealed(printed.pdf("bare", "a4"), agency_id="x", agency="Agency", at=datetime.now(UTC))[0]


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
    """Revoked before the seal was made: broken; after, by the sealer's own clock alone: open.

    Whoever stole the key of a certificate that was revoked can set that clock back, so such a seal never passes.
    """
    root, middle, issued = below_a_root()
    _, data = sealed_by(issued)
    now = datetime.now(UTC)
    found, said = looked(data, root, crls=[middle.revoking(issued, now - HOUR)])
    assert found.code == 1
    assert "revoked at" in said and "before the seal was made" in said
    found, said = looked(data, root, crls=[middle.revoking(issued, now + HOUR)])
    assert found.code == 2
    assert "only the sealer's own clock says that the seal is older" in said


def test_a_time_stamp_tells_a_seal_from_before_the_certificate_was_revoked(sealed_by, settings):
    """With a stamp of an authority given it holds; without that authority, or with its certificate revoked, it is open."""
    root, middle, issued = below_a_root()
    stamps = Issued("Time stamps of the county", root, stamps=True, kind="rsa")
    with time_stamp_authority(stamps) as address:
        settings.TIME_STAMPS = address
        _, data = sealed_by(issued)
    now = datetime.now(UTC)
    later, whole = middle.revoking(issued, now + HOUR), root.revoking(Issued("x", root), now)
    found, said = looked(data, root, crls=[later, whole])
    assert found.code == 0, said
    assert "after the seal was made, as its time stamp says" in said
    found, said = looked(data, middle, crls=[later])
    assert found.code == 2
    assert "only the sealer's own clock" in said
    found, said = looked(data, root, crls=[later, root.revoking(stamps, now + HOUR)])
    assert found.code == 2
    assert "its certificate was revoked since" in said


def test_a_list_that_says_nothing_about_the_seal_is_named(sealed_by):
    """By somebody of the same name, about another certificate, out of date, in part only: open, never silent."""
    root, middle, issued = below_a_root()
    _, data = sealed_by(issued)
    now, other = datetime.now(UTC), Issued("Somebody else", middle)
    of_root = root.revoking(other, now)
    found, said = looked(data, root, crls=[middle.revoking(other, now), of_root])
    assert found.code == 0, said
    assert "not on the revocation list" in said
    stranger = Issued("Issuing authority of the county", authority=True)
    for lists, words in (
        ([stranger.revoking(issued, now - HOUR), of_root], "no --crl that was given speaks of"),
        ([of_root], "no --crl that was given speaks of the certificate of CN=Tarrow County Dive Rescue seal"),
        ([middle.revoking(other, now, until=now - HOUR), of_root], "is out of date"),
        ([middle.revoking(other, now, part=True), of_root], "no --crl that was given speaks of"),
    ):
        found, said = looked(data, root, crls=lists)
        assert found.code == 2, said
        assert words in said
    anchors = verifier.Anchors(signing.public_keys(), [root.certificate], [middle.revoking(other, now), of_root, stranger.revoking(issued, now)])  # fmt: skip
    found = verifier.verify("sheet.pdf", data, anchors)
    assert found.of("not checked") == ["--crl of CN=Issuing authority of the county: is about no certificate here, or is no whole list"]  # fmt: skip


def test_a_certificate_that_is_no_authority_vouches_for_nobody(sealed_by):
    """Whoever has any certificate of the authority given signs a second one in the agency's name: told, not believed."""
    root, middle, _ = below_a_root()
    thief = Issued("Some other customer", middle)
    forged = Issued("Tarrow County Dive Rescue seal", thief)
    _, data = sealed_by(forged)
    found, said = looked(data, root)
    assert found.code == 1
    assert "not by the authority given" in said
    assert looked(data, thief)[0].code == 1
    short = Issued("Root that allows none below it", authority=True, path_length=0)
    deep = Issued("Seal", Issued("Below", short, authority=True))
    assert len(verifier.chain_of(deep.certificate, [short.certificate], [deep.by.certificate])) == 2
    assert len(verifier.chain_of(deep.by.certificate, [short.certificate], [])) == 2


def test_only_a_certificate_for_time_stamps_may_stamp(sealed_by, settings):
    """A seal's own certificate, one for more uses, and one that was not valid at the stamp's time say no time."""
    root, middle, issued = below_a_root()
    now = datetime.now(UTC)
    for number, (stamps, at, words) in enumerate(
        (
            (Issued("Another seal", middle, kind="rsa"), None, "its certificate is not one for time stamps"),
            (
                Issued("For all uses", root, stamps="all", kind="rsa"),
                None,
                "its certificate is not one for time stamps",
            ),
            (Issued("Too late", root, stamps=True, kind="rsa"), now - timedelta(days=30), "was not valid at its time"),
            (Issued("Below", middle, stamps=True, kind="rsa"), None, ""),
        )
    ):
        data = stamped_alone(issued, stamps, settings, at, number)
        found, said = looked(data, root)
        assert found.code == (1 if words else 0), said
        assert words in said if words else "issued by an authority given" in said


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
    beside = verifier.verify("sheet.pdf", foreign, made.anchors(authorities=[theirs.certificate]), [whole.opened])
    assert any("the log knows no sheet with this SHA-256" in what for what in beside.of("DOES NOT HOLD"))
    assert verifier.verify("sheet.pdf", data, made.anchors(authorities=[root.certificate]), [whole.opened]).code == 0
