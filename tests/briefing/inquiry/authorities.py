"""Authorities like those outside: a root, one below it, certificates for sealing and for time stamps, revocation lists."""

import threading
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer

from asn1crypto import keys, tsp
from asn1crypto import x509 as asn1
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    NoEncryption,
    PrivateFormat,
    pkcs12,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from pyhanko.sign.timestamps import DummyTimeStamper
from pyhanko_certvalidator.registry import SimpleCertificateStore

DAY = timedelta(days=1)


class Issued:
    """A certificate with its key, and who issued it."""

    def __init__(self, name, by=None, *, authority=False, stamps=False, kind="ec", path_length=None):
        self.key = ec.generate_private_key(ec.SECP256R1()) if kind == "ec" else rsa.generate_private_key(65537, 2048)
        self.by = by or self
        subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
        issuer = self.by.certificate.subject if by else subject
        now = datetime.now(UTC)
        usage = dict.fromkeys(
            ("digital_signature", "content_commitment", "key_encipherment", "data_encipherment", "key_agreement",
             "key_cert_sign", "crl_sign", "encipher_only", "decipher_only"), False
        )  # fmt: skip
        usage |= {"key_cert_sign": True, "crl_sign": True} if authority else {"digital_signature": True}
        usage |= {} if authority else {"content_commitment": True}
        made = x509.CertificateBuilder().subject_name(subject).issuer_name(issuer).public_key(self.key.public_key())
        made = (
            made.serial_number(x509.random_serial_number()).not_valid_before(now - DAY).not_valid_after(now + 400 * DAY)
        )
        made = made.add_extension(x509.BasicConstraints(ca=authority, path_length=path_length), critical=True)
        made = made.add_extension(x509.KeyUsage(**usage), critical=True)
        if stamps:
            uses = [ExtendedKeyUsageOID.TIME_STAMPING, *([ExtendedKeyUsageOID.EMAIL_PROTECTION] * (stamps == "all"))]
            made = made.add_extension(x509.ExtendedKeyUsage(uses), critical=True)
        self.certificate = made.sign(self.by.key, hashes.SHA256())

    def pkcs12(self, path, passphrase):
        above, one = [], self
        while one.by is not one:
            one = one.by
            above.append(one.certificate)
        hidden = BestAvailableEncryption(passphrase.encode()) if passphrase else NoEncryption()
        path.write_bytes(pkcs12.serialize_key_and_certificates(b"seal", self.key, self.certificate, above, hidden))
        return str(path)

    def pem(self):
        return self.certificate.public_bytes(Encoding.PEM)

    def revoking(self, other, when, until=None, part=False):
        """A revocation list by this authority that names `other`; `part` of one says so."""
        entry = (
            x509.RevokedCertificateBuilder()
            .serial_number(other.certificate.serial_number)
            .revocation_date(when)
            .build()
        )
        now = datetime.now(UTC)
        made = x509.CertificateRevocationListBuilder().issuer_name(self.certificate.subject)
        until = until or now + DAY
        made = made.last_update(min(now, until) - DAY).next_update(until).add_revoked_certificate(entry)
        if part:
            made = made.add_extension(x509.DeltaCRLIndicator(1), critical=True)
        return made.sign(self.key, hashes.SHA256())


def below_a_root(kind="ec"):
    root = Issued("Root of the county's authority", authority=True)
    middle = Issued("Issuing authority of the county", root, authority=True)
    return root, middle, Issued("Tarrow County Dive Rescue seal", middle, kind=kind)


@contextmanager
def time_stamp_authority(issued, at=None, answer=None):
    """An address that stamps what it is sent, or gives `answer` whatever it is sent."""
    private = keys.PrivateKeyInfo.load(issued.key.private_bytes(Encoding.DER, PrivateFormat.PKCS8, NoEncryption()))
    own, above = (asn1.Certificate.load(one.certificate.public_bytes(Encoding.DER)) for one in (issued, issued.by))
    stamper = DummyTimeStamper(own, private, certs_to_embed=SimpleCertificateStore.from_certs([above]), fixed_dt=at)

    class Stamps(BaseHTTPRequestHandler):
        def do_POST(self):
            asked = self.rfile.read(int(self.headers["Content-Length"]))
            status, kind, body = answer or (200, "application/timestamp-reply", None)
            body = stamper.request_tsa_response(tsp.TimeStampReq.load(asked)).dump() if body is None else body
            self.send_response(status)
            self.send_header("Content-Type", kind)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_):
            """Nothing is said."""

    server = HTTPServer(("127.0.0.1", 0), Stamps)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        server.server_close()
