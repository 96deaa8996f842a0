"""The agency's seal on a PDF: a PAdES signature with a P-256 certificate.

In production the certificate comes from a PKCS#12 file that the agency's own authority issued
(OPSRISK_SEAL_PKCS12). Without one, a development authority is made on first run and issues a certificate
to each agency; it proves that a file was not changed since this server made it, and nothing about who runs it.
"""

import io
import logging
import os
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from uuid import UUID

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, pkcs12
from cryptography.x509.oid import NameOID
from django.conf import settings
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import PdfSignatureMetadata, PdfSigner, SimpleSigner
from pyhanko.sign.fields import MDPPerm, SigSeedSubFilter

from opsrisk.briefing.pdf import FIELD, SEALED_BY
from opsrisk.briefing.time_stamps import Authority, NotStamped

log = logging.getLogger(__name__)

AUTHORITY = "Development authority of this OpsRisk server"
AUTHORITY_YEARS, CERTIFICATE_YEARS = 20, 10
YEAR = timedelta(days=365)
RENEW_BEFORE = timedelta(days=30)


class NoSeal(RuntimeError):
    """The certificate that was configured cannot be used."""


def sealed(data: bytes, *, agency_id: UUID, agency: str, at: datetime) -> tuple[bytes, str]:
    """`data`, whose empty signature field was made by `pdf.with_empty_field`, signed for `agency`.

    With a time-stamp authority, and whether it stamped: "" for none configured. A crew waits for its sheet: where the
    authority does not answer, the seal is made without, and that stands in the log.
    """
    if not settings.TIME_STAMPS:
        return _sealed(data, agency_id, agency, at), ""
    try:
        return _sealed(data, agency_id, agency, at, Authority(settings.TIME_STAMPS)), "stamped"
    except NotStamped as fault:
        log.error("seal without a time stamp: %s", fault)
        return _sealed(data, agency_id, agency, at), f"not stamped: {fault}"[:400]


def _sealed(data: bytes, agency_id: UUID, agency: str, at: datetime, stamps: Authority | None = None) -> bytes:
    meta = PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        subfilter=SigSeedSubFilter.PADES,
        reason=SEALED_BY,
        name=agency,
        certify=True,
        docmdp_permissions=MDPPerm.NO_CHANGES,
    )
    out = io.BytesIO()
    signer = PdfSigner(meta, _signer(agency_id, agency, at), timestamper=stamps)
    signer.sign_pdf(IncrementalPdfFileWriter(io.BytesIO(data)), existing_fields_only=True, output=out)
    return out.getvalue()


def folder() -> Path:
    path = Path(settings.DATA) / "seal"
    path.mkdir(parents=True, exist_ok=True, mode=0o700)
    return path


def authorities() -> bytes:
    """Every authority that ever stood above a seal made here, as PEM; the newest may be made by this call."""
    if settings.SEAL_PKCS12:
        _keep_authorities(Path(settings.SEAL_PKCS12), settings.SEAL_PASSPHRASE.encode() or None)
    return b"".join(path.read_bytes() for path in sorted(folder().glob("authority*.pem")))


def _keep_authorities(path: Path, phrase: bytes | None) -> None:
    """Keeps what stands above the configured certificate: the next one may come from elsewhere."""
    with suppress(OSError, ValueError):  # whether the file can be used is said where a sheet is sealed
        _, _, above = pkcs12.load_key_and_certificates(path.read_bytes(), phrase)
        for one in above:
            name = f"authority-{one.fingerprint(hashes.SHA256()).hex()[:16]}.pem"
            (folder() / name).write_bytes(one.public_bytes(Encoding.PEM))


def _signer(agency_id: UUID, agency: str, at: datetime) -> SimpleSigner:
    if settings.SEAL_PKCS12:
        path, phrase = Path(settings.SEAL_PKCS12), settings.SEAL_PASSPHRASE.encode() or None
    else:
        path, phrase = _development_certificate(agency_id, agency, at), None
    if not path.is_file():
        raise NoSeal(f"OPSRISK_SEAL_PKCS12: given {path}, accepted a PKCS#12 file that this program may read")
    signer = SimpleSigner.load_pkcs12(str(path), passphrase=phrase)
    if signer is None:
        raise NoSeal(f"OPSRISK_SEAL_PKCS12: {path} did not open; accepted a PKCS#12 file and its passphrase")
    if settings.SEAL_PKCS12:
        _keep_authorities(path, phrase)
    return signer


def _development_certificate(agency_id: UUID, agency: str, at: datetime) -> Path:
    """The agency's file, made when there is none yet or the old one is about to end."""
    path = folder() / f"{agency_id}.p12"
    if path.exists() and _ends(path) > at + RENEW_BEFORE:
        return path
    authority, authority_key = _authority(at)
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, agency[:64]),
            x509.NameAttribute(NameOID.COMMON_NAME, "Sheet seal"),
        ]
    )
    certificate = _certificate(
        name, key.public_key(), authority.subject, at, CERTIFICATE_YEARS, authority_of=False
    ).sign(authority_key, hashes.SHA256())
    data = pkcs12.serialize_key_and_certificates(b"seal", key, certificate, [authority], NoEncryption())
    _write(path, data, replace=True)
    return path


def _authority(at: datetime) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    """The development authority; the first process that needs it makes it."""
    path = folder() / "authority.p12"
    if not path.exists():
        key = ec.generate_private_key(ec.SECP256R1())
        name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, AUTHORITY)])
        made = _certificate(name, key.public_key(), name, at, AUTHORITY_YEARS, authority_of=True).sign(
            key, hashes.SHA256()
        )
        _write(path, pkcs12.serialize_key_and_certificates(b"authority", key, made, None, NoEncryption()))
    found, certificate, _ = pkcs12.load_key_and_certificates(path.read_bytes(), None)
    if not isinstance(found, ec.EllipticCurvePrivateKey) or certificate is None:
        raise NoSeal(f"{path}: holds no P-256 key and certificate")
    (folder() / "authority.pem").write_bytes(certificate.public_bytes(Encoding.PEM))
    return certificate, found


def _certificate(
    name: x509.Name, key: ec.EllipticCurvePublicKey, issuer: x509.Name, at: datetime, years: int, *, authority_of: bool
) -> x509.CertificateBuilder:
    usage = x509.KeyUsage(
        digital_signature=True,
        content_commitment=not authority_of,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=authority_of,
        crl_sign=authority_of,
        encipher_only=False,
        decipher_only=False,
    )
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - timedelta(days=1))  # a reader's clock may be behind
        .not_valid_after(at + years * YEAR)
        .add_extension(x509.BasicConstraints(ca=authority_of, path_length=None), critical=True)
        .add_extension(usage, critical=True)
    )


def _ends(path: Path) -> datetime:
    _, certificate, _ = pkcs12.load_key_and_certificates(path.read_bytes(), None)
    if certificate is None:
        raise NoSeal(f"{path}: holds no certificate")
    return certificate.not_valid_after_utc


def _write(path: Path, data: bytes, *, replace: bool = False) -> None:
    """Writes a private file at once or not at all; without `replace` an earlier process's file stands."""
    draft = path.with_suffix(f".{os.getpid()}")
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as out:
        out.write(data)
    if replace:
        draft.replace(path)
        return
    with suppress(FileExistsError):
        os.link(draft, path)
    draft.unlink()
