"""Checks what was exported about an operation, with no server and no other file of the program.

Needs Python 3.11 or newer and the package `cryptography` for the signatures' mathematics (tried with 50.0); all else is
the standard library. With `--pades` it also asks the package `pyhanko`, where installed, about each PDF.

    python3 -I verify_operation.py ARCHIVE.zip --key SERVER-KEY [--heads HEADS.jsonl] [--authority CA.pem] [--crl CRL]
    python3 -I verify_operation.py SHEET.pdf --key SERVER-KEY --authority CA.pem
    python3 -I verify_operation.py RECORD.json --key SERVER-KEY

ARCHIVE is the file from the operation's archive page, or the folder it was unpacked into. Sheets named beside an
archive are looked for in its log. SERVER-KEY is the server's public key in base64, or a file that holds it, had from
somewhere else than the archive. HEADS are signed heads of the log that were kept elsewhere.

Exit code: 0 everything was checked and holds; 1 something was altered or does not hold, named in words; 2 nothing is
known to be wrong, but not everything could be checked, or a file or option could not be read.

This program may itself have been exchanged where it came inside an archive: take it from somewhere else, or compare its
SHA-256 with the one that the agency's archive page names. It uses this computer's clock only to say whether a
revocation list is out of date.

That nothing was altered says nothing about whether a decision was right. Local protocols, applicable law and qualified,
licensed people decide.
"""

import argparse
import base64
import hashlib
import io
import json
import re
import struct
import sys
import zipfile
import zlib
from pathlib import Path

try:
    from datetime import UTC, datetime

    from cryptography import x509
    from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec, padding, rsa
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import Encoding
    from cryptography.x509.oid import ExtendedKeyUsageOID

    if not hasattr(x509.Certificate, "not_valid_before_utc"):
        raise ImportError("the package cryptography is older than 42.0")
except ImportError as fault:  # in words: an inquirer is no programmer
    print(f"nothing was checked: {fault}. Needed: Python 3.11 and the package cryptography, or newer", file=sys.stderr)
    raise SystemExit(2) from fault

MANIFEST, MANIFEST_SIGNATURE = "manifest.json", "manifest.sig"
INQUIRY, EVIDENCE, SIGNATURES = "opsrisk.inquiry/1", "opsrisk.evidence/1", "opsrisk.signatures/1"
HEAD_FORMAT, HANDOVER = "opsrisk.head/1", "opsrisk.key_handover/1"
RECEIPTS = {
    "opsrisk.receipt/1": ("format", "digest", "received_at", "entry"),
    "opsrisk.receipt/2": ("format", "digest", "received_at", "entry", "signatures"),
}
ACT = ("record", "person", "name", "role", "meaning", "at")
KINDS = ("record", "protocol", "signatures")
ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LARGEST_INTEGER = 2**53 - 1
WHOSE_KEYS = "whose keys the persons' signatures were made with is in the operation's archive, not in this file"
LARGEST_ARCHIVE, MOST_FILES = 2**32 - 1, 2**16 - 1  # what the plain form of a zip file can say
LARGEST_INSIDE, MOST_INSIDE = 64 * 2**20, 100  # bytes and number of the documents inside one sheet
DER = Encoding.DER
FAULTS = (  # what a broken file makes of its reader
    *(KeyError, TypeError, ValueError, IndexError, AttributeError, RecursionError, struct.error),
    *(UnsupportedAlgorithm, x509.InvalidVersion, x509.DuplicateExtension, x509.UnsupportedGeneralNameType),
)


class Altered(ValueError):
    """Something that is not as it was made; the message says what."""


class Unreadable(ValueError):
    """A file, a key or a list that cannot be used: the outcome is 2, since nothing is known."""


class TooLarge(ValueError):
    """More than an archive can hold."""


class Findings:
    """What was found, in the order in which it was looked at."""

    def __init__(self):
        self.lines, self.lists_used, self.opened = [], set(), None

    def holds(self, what):
        self.lines.append(("holds", what))

    def broken(self, what):
        self.lines.append(("DOES NOT HOLD", what))

    def unchecked(self, what):
        self.lines.append(("not checked", what))

    def note(self, what):
        """Something to know, that makes the outcome neither better nor worse."""
        self.lines.append(("note", what))

    def check(self, fact, holds, broken):
        self.holds(holds) if fact else self.broken(broken)
        return bool(fact)

    def of(self, state):
        return [what for found, what in self.lines if found == state]

    @property
    def code(self):
        return 1 if self.of("DOES NOT HOLD") else 2 if self.of("not checked") else 0


class Anchors:
    """What the inquirer has from elsewhere: keys of the server, authorities, revocation lists, heads of the log."""

    def __init__(self, keys=None, authorities=(), crls=(), heads=(), pades=False):
        self.keys, self.heads, self.pades = dict(keys or {}), list(heads), pades
        self.authorities, self.crls = list(authorities), list(crls)


# --- canonical JSON (RFC 8785 for text, whole numbers, yes/no, nothing, lists and objects) ---


def canonical(value):
    return json.dumps(_ordered(value), ensure_ascii=False, separators=(",", ":")).encode()


def _ordered(value):
    if isinstance(value, dict):
        return {key: _ordered(value[key]) for key in sorted(value, key=lambda k: k.encode("utf-16-be"))}
    if isinstance(value, list):
        return [_ordered(one) for one in value]
    if value is None or isinstance(value, str | bool) or (isinstance(value, int) and abs(value) <= LARGEST_INTEGER):
        return value
    raise Altered(f"{value!r} has no certain spelling")


def read(data, what):
    """`data` as JSON, if it is in its one canonical spelling to the byte."""
    try:
        value = json.loads(data.decode("utf-8"))
        spelled = canonical(value)
    except (ValueError, RecursionError) as fault:
        raise Altered(f"{what}: is not the JSON that was written ({str(fault)[:80]})") from fault
    if spelled != data:
        raise Altered(f"{what}: is not in the canonical spelling in which it was written")
    return value


def digest(value):
    return hashlib.sha256(canonical(value)).hexdigest()


def sha256(data):
    return hashlib.sha256(data).hexdigest()


def short_code(of):
    bits = int(of[:13], 16) >> 2
    return "".join(ALPHABET[(bits >> shift) & 31] for shift in range(45, -1, -5))


# --- the archive's envelope: one way only to write it, so that no byte of it is free ---


def packed(files):
    """A zip file of `files` (name: bytes), stored, without dates: the same content gives the same bytes."""
    if len(files) > MOST_FILES:
        raise TooLarge(f"archive: given {len(files)} files, accepted at most {MOST_FILES}")
    size = 22 + sum(76 + 2 * len(name.encode()) + len(data) for name, data in files.items())
    if size > LARGEST_ARCHIVE:
        raise TooLarge(f"archive: given {size} bytes, accepted at most {LARGEST_ARCHIVE}")
    out, table = io.BytesIO(), []
    for name in sorted(files):
        data, raw = files[name], name.encode("utf-8")
        head = struct.pack("<HHHHHIIIHH", 20, 0x0800, 0, 0, 0x21, zlib.crc32(data), len(data), len(data), len(raw), 0)
        table.append(b"PK\x01\x02\x14\x03" + head + struct.pack("<HHHII", 0, 0, 0, 0o100644 << 16, out.tell()) + raw)
        out.write(b"PK\x03\x04" + head + raw + data)
    start, listed = out.tell(), b"".join(table)
    tail = struct.pack("<HHHHIIH", 0, 0, len(table), len(table), len(listed), start, 0)
    out.write(listed + b"PK\x05\x06" + tail)
    return out.getvalue()


def unpacked(data):
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as source:
            members = source.infolist()
            if any(one.compress_type != zipfile.ZIP_STORED for one in members):
                raise Altered("the archive's envelope is packed otherwise than archives are")
            if sum(one.file_size for one in members) > len(data):
                raise Altered("the archive's envelope promises more than the file can hold")
            files = {one.filename: source.read(one) for one in members}
        same = packed(files) == data
    except Altered:
        raise
    except Exception as fault:  # whatever a broken archive makes of the reader
        raise Altered(f"the archive's envelope cannot be read ({type(fault).__name__}: {str(fault)[:80]})") from fault
    if not same:
        raise Altered("the archive's envelope is not the one that its content gives: bytes were changed, added or cut")
    return files


# --- Ed25519, keys of the server ---


def plain_base64(text):
    found = base64.b64decode(text, validate=True)
    if base64.b64encode(found).decode() != text:
        raise ValueError("not the plain spelling")
    return found


def ed25519(public_key, message, signature):
    try:
        Ed25519PublicKey.from_public_bytes(plain_base64(public_key)).verify(plain_base64(signature), message)
    except (InvalidSignature, ValueError, TypeError, AttributeError):
        return False
    return True


def key_id(public_key):
    return hashlib.sha256(plain_base64(public_key)).hexdigest()[:16]


def trusted_keys(found, anchors, offered, handovers):
    """Keys by which the server's signatures are judged: those given, and those that they vouch for."""
    if not anchors.keys:
        listed = ", ".join(f"{name} = {key}" for name, key in sorted(offered.items()))
        found.unchecked(
            "whose server this is: no --key was given, so its signatures are judged by the keys that came along. "
            f"Compare with what you have from elsewhere: {listed}"
        )
        return {name: key for name, key in offered.items() if _is_key(name, key)}
    trusted, grew = dict(anchors.keys), True
    while grew:
        grew = False
        for one in handovers:
            pair = (one["old"], one["new"])
            if _handed_over(one) and any(trusted.get(end["id"]) == end["public_key"] for end in pair):
                grew = grew or any(end["id"] not in trusted for end in pair)
                trusted |= {end["id"]: end["public_key"] for end in pair}
    strangers = sorted(offered.keys() - trusted.keys())
    found.check(
        offered.keys() & trusted.keys(),
        f"the server's key: {', '.join(sorted(offered.keys() & trusted.keys()))}, given or linked to the one given",
        f"the server's key: none of {', '.join(sorted(offered))} is the one given ({', '.join(sorted(anchors.keys))})",
    )
    if strangers:
        found.unchecked(f"keys of the server that nothing links to the one given: {', '.join(strangers)}")
    return trusted


def _is_key(name, key):
    try:
        return key_id(key) == name
    except (ValueError, TypeError):
        return False


def _handed_over(one):
    """Whether the old and the new key both signed that the one follows the other."""
    said = canonical({name: one[name] for name in ("format", "old", "new", "at")})
    ends = (one["old"], one["new"])
    return one["format"] == HANDOVER and all(
        _is_key(end["id"], end["public_key"]) and ed25519(end["public_key"], said, one["signatures"][end["id"]])
        for end in ends
    )


def server_signed(trusted, key, message, signature):
    return key in trusted and ed25519(trusted[key], message, signature)


# --- the log: a Merkle tree (RFC 6962), proofs as in RFC 9162 ---
# Written a second time on purpose (the program's own is opsrisk/ledger/chain.py): this file stands alone, and the test
# test_its_tree_is_the_logs_tree holds the two equal.


def leaf_hash(entry):
    return hashlib.sha256(b"\x00" + entry).digest()


def node_hash(left, right):
    return hashlib.sha256(b"\x01" + left + right).digest()


def included(leaf, index, size, proof, root):
    if not 0 <= index < size:
        return False
    place, last, found = index, size - 1, leaf
    for neighbour in proof:
        if last == 0:
            return False
        if place % 2 or place == last:
            found = node_hash(neighbour, found)
            while place % 2 == 0 and place:
                place, last = place >> 1, last >> 1
        else:
            found = node_hash(found, neighbour)
        place, last = place >> 1, last >> 1
    return last == 0 and found == root


def consistent(old_size, size, old_root, root, proof):
    if not 0 < old_size <= size:
        return False
    if old_size == size:
        return not proof and old_root == root
    path = [old_root, *proof] if old_size & (old_size - 1) == 0 else list(proof)
    if not path:
        return False
    place, last = old_size - 1, size - 1
    while place % 2:
        place, last = place >> 1, last >> 1
    old_found = new_found = path[0]
    for neighbour in path[1:]:
        if last == 0:
            return False
        if place % 2 or place == last:
            old_found, new_found = node_hash(neighbour, old_found), node_hash(neighbour, new_found)
            while place % 2 == 0 and place:
                place, last = place >> 1, last >> 1
        else:
            new_found = node_hash(new_found, neighbour)
        place, last = place >> 1, last >> 1
    return last == 0 and old_found == old_root and new_found == root


def head_signed(trusted, head):
    said = canonical({"format": HEAD_FORMAT} | {name: head[name] for name in ("size", "root", "at")})
    return head.get("format") == HEAD_FORMAT and server_signed(trusted, head["key_id"], said, head["signature"])


def check_heads(found, anchors, trusted, head, earlier):
    """The head that all proofs lead to, those exported before it, and those that the inquirer kept."""
    if not found.check(
        head_signed(trusted, head),
        f"the head of the log: {head['size']} entries at {head['at']}, signed by the server",
        f"the head of the log ({head['size']} entries): the server's signature on it",
    ):
        return
    root, grown = bytes.fromhex(head["root"]), {head["size"]: head["root"]}
    for one in earlier:
        path = [bytes.fromhex(node) for node in one["consistency"]]
        if not head_signed(trusted, one) or not consistent(
            one["size"], head["size"], bytes.fromhex(one["root"]), root, path
        ):
            found.broken(f"the head of {one['size']} entries exported at {one['at']}: the log does not continue it")
        else:
            grown[one["size"]] = one["root"]
    if len(grown) > 1:
        found.holds(f"{len(grown) - 1} earlier heads are the beginning of this log")
    for kept in anchors.heads:
        check_kept_head(found, trusted, head, grown, kept)


def check_kept_head(found, trusted, head, grown, kept):
    name = f"the head of {kept['size']} entries that was kept elsewhere"
    if not head_signed(trusted, kept):
        found.broken(f"{name}: not signed by this server")
    elif kept["size"] > head["size"]:
        found.broken(
            f"{name}: this archive's log ends earlier, at {head['size']}; it was cut, or the archive is an old one"
        )
    elif kept["size"] not in grown:
        found.unchecked(f"{name}: the archive holds no proof for that size; ask for an archive with this head")
    else:
        found.check(grown[kept["size"]] == kept["root"], f"{name} is the beginning of this log", f"{name}: another log")


def check_entries(found, text, proofs, head):
    """The slice of the log, by index; each entry proven to lie in the log under the head."""
    entries, root, wrong = {}, bytes.fromhex(head["root"]), []
    for line in text.split(b"\n")[:-1]:
        entry = read(line, "an entry of the log")
        path = [bytes.fromhex(node) for node in proofs.get(str(entry["index"]), ())]
        if entry["index"] in entries or (entries and entry["index"] < max(entries)):
            raise Altered(f"entry {entry['index']} of the log: out of its order or there twice")
        if not included(leaf_hash(line), entry["index"], head["size"], path, root):
            wrong.append(str(entry["index"]))
        entries[entry["index"]] = entry | {"detail": json.loads(entry["detail"])}
    if proofs.keys() != {str(index) for index in entries}:
        wrong.append("proofs and entries do not go together")
    found.check(
        entries and not wrong and text.endswith(b"\n"),
        f"{len(entries)} entries lie in the log, each at its place",
        f"entries of the log are not in it as they stand here: {', '.join(wrong) or 'none at all'}",
    )
    return entries


# --- one record: who signed it, that it was received ---


def check_signature(found, one, record_digest, keys):
    who = f"{one['name']}, {one['meaning']}"
    said = canonical({name: one[name] for name in ACT})
    if one["record"] != record_digest:
        found.broken(f"signature of {who}: made on another record ({one['record'][:10]})")
    elif one["algorithm"] != "Ed25519" or not ed25519(one["public_key"], said, one["signature"]):
        found.broken(
            f"signature of {who} at {one['at']}: does not hold for this record, person, role, meaning and time"
        )
    elif keys is not None and one["public_key"] not in keys.get(one["person"], ()):
        found.broken(f"signature of {who}: the log does not know its key as that person's")
    else:
        found.holds(f"signature of {who} at {one['at']}")


def check_receipt(found, receipt, record_digest, signatures, trusted):
    made, over = receipt["countersignature"], RECEIPTS.get(receipt["format"])
    if over is None:
        return found.broken(f"receipt: its format {receipt['format']!r} is not one of {', '.join(RECEIPTS)}")
    said = canonical({name: receipt[name] for name in over})
    if not server_signed(trusted, made["key_id"], said, made["signature"]):
        return found.broken("receipt: the server's signature on it does not hold")
    if receipt["digest"] != record_digest:
        return found.broken(f"receipt: is that of another record ({receipt['digest'][:10]})")
    strangers = set(receipt.get("signatures", ())) - {digest(one) for one in signatures}
    if strangers:
        return found.broken(f"receipt: lists {len(strangers)} signatures that are not here")
    counted = f"with {len(receipt['signatures'])} signatures" if "signatures" in receipt else "of a former form"
    return found.holds(f"receipt {counted}: the server had it at {receipt['received_at']}, entry {receipt['entry']}")


def check_record(found, record, signatures, receipts, *, trusted, keys=None):
    of = digest(record)
    if not any(one["meaning"] == "decided" for one in signatures):
        found.broken("signatures: nobody signed that they decided")
    for one in signatures:
        check_signature(found, one, of, keys)
    if not receipts:
        found.unchecked("receipt: none came along; the record awaits the server, or its receipt was taken away")
    for receipt in receipts:
        check_receipt(found, receipt, of, signatures, trusted)
    listed = set(receipts[-1].get("signatures", ())) if receipts else set()
    late = [one["name"] for one in signatures if digest(one) not in listed]
    if receipts and receipts[-1]["format"] != "opsrisk.receipt/1" and late:
        found.broken(f"receipt: does not list the signature of {', '.join(late)}")
    return of


def check_logged(found, entries, record, *, of, receipts, signatures):
    """What the log says of the record: when it came, under which digest, with which signatures."""
    mine = [e for e in entries.values() if e["detail"].get("digest") == of and e["subject_id"] == record["id"]]
    came = [one for one in mine if one["verb"] == "receive_record"]
    if len(came) != 1 or any(receipt["entry"] != came[0]["index"] for receipt in receipts):
        return found.broken("log: no entry, or another one than the receipt names, says that this record came")
    if (
        came[0]["detail"]["operation"] != record["operation"]["id"]
        or came[0]["detail"]["revision"] != record["revision"]
    ):
        return found.broken("log: the entry speaks of another operation or revision")
    said = {(s["person"], s["meaning"], s["at"]) for one in mine for s in one["detail"].get("signatures", ())}
    here = {(one["person"], one["meaning"], one["at"]) for one in signatures}
    return found.check(
        said == here,
        f"log: entry {came[0]['index']} received this record, and every signature is in the log",
        f"log: it lists {len(said)} signatures, {len(here)} are here, and they are not the same",
    )


# --- PDF: the seal (PAdES, a CMS signature) and the documents inside ---

OID = {
    "signed data": "2a864886f70d010702",
    "data": "2a864886f70d010701",
    "content type": "2a864886f70d010903",
    "message digest": "2a864886f70d010904",
    "signing certificate": "2a864886f70d010910022f",
    "time stamp": "2a864886f70d010910020e",
    "time stamp content": "2a864886f70d0109100104",
}
HASHES = {
    "608648016503040201": hashes.SHA256,
    "608648016503040202": hashes.SHA384,
    "608648016503040203": hashes.SHA512,
}
ALGORITHMS = {  # of signatures, and the hashes that go with each
    "2a8648ce3d040302": (hashes.SHA256,),
    "2a8648ce3d040303": (hashes.SHA384,),
    "2a8648ce3d040304": (hashes.SHA512,),
    "2a864886f70d010101": (hashes.SHA256, hashes.SHA384, hashes.SHA512),
    "2a864886f70d01010b": (hashes.SHA256,),
    "2a864886f70d01010c": (hashes.SHA384,),
    "2a864886f70d01010d": (hashes.SHA512,),
}
BYTE_RANGE = re.compile(rb"/ByteRange\s*\[\s*(\d+)\s+(\d+)\s+(\d+)\s+(\d+)\s*\]")
HEXADECIMAL = re.compile(rb"<(?:(?:[0-9A-F]{2})+|(?:[0-9a-f]{2})+)>")  # one spelling throughout: no letter is free
EMBEDDED = re.compile(rb"/Type\s*/EmbeddedFile")


def tlv(data, at=0):
    """Tag, and where content begins and ends, of the DER value at `at`."""
    tag, length, at = data[at], data[at + 1], at + 2
    if length & 0x80:
        count = length & 0x7F
        length, at = int.from_bytes(data[at : at + count], "big"), at + count
        if not 1 <= count <= 4 or length < 0x80:
            raise Altered("a length that DER does not allow")
    if at + length > len(data):
        raise Altered("a value that ends behind its file")
    return tag, at, at + length


def parts(data):
    """The values inside a constructed DER value: (tag, content, whole)."""
    _, at, end = tlv(data)
    found = []
    while at < end:
        tag, start, stop = tlv(data, at)
        found.append((tag, data[start:stop], data[at:stop]))
        at = stop
    return found


def oid_of(value):
    return parts(value)[0][1].hex()


def algorithm_of(value):
    """The object identifier of an algorithm; its parameters may be absent or nothing, and nothing else."""
    tag, _, whole = value
    fields = parts(whole)
    if tag != 0x30 or fields[0][0] != 0x06 or [one[2] for one in fields[1:]] not in ([], [b"\x05\x00"]):
        raise Altered("an algorithm of the seal is not written as it should be")
    return fields[0][1].hex()


def of_kinds(values, *tags):
    """`values`, if they begin with these DER tags."""
    if [one[0] for one in values[: len(tags)]] != list(tags):
        raise Altered("the seal is not written as it should be")
    return values


class Cms:
    """A CMS SignedData with one signer, as a PAdES signature or a time stamp has it."""

    def __init__(self, data):
        if data[0] != 0x30:
            raise Altered("the seal is no signature")
        kind, wrapped = of_kinds(parts(data), 0x06, 0xA0)
        if kind[1].hex() != OID["signed data"]:
            raise Altered("the seal is no signature")
        inside = of_kinds(parts(of_kinds(parts(wrapped[2]), 0x30)[0][2]), 0x02, 0x31, 0x30)
        version, algorithms, content, *rest = inside
        if version[1] not in {b"\x01", b"\x03"} or {one[0] for one in rest[:-1]} - {0xA0, 0xA1}:
            raise Altered("the seal is not of the kind that sheets have")
        self.content_type = of_kinds(parts(content[2]), 0x06)[0][1].hex()
        inner = [one for one in parts(content[2]) if one[0] == 0xA0]
        self.content = parts(inner[0][2])[0][1] if inner else None
        self.certificates = [
            x509.load_der_x509_certificate(one[2]) for group in rest if group[0] == 0xA0 for one in parts(group[2])
        ]
        signers = parts(rest[-1][2])
        if len(signers) != 1 or rest[-1][0] != 0x31:
            raise Altered("the seal has not one signer")
        self._signer(parts(of_kinds(signers, 0x30)[0][2]))
        if [algorithm_of(one) for one in parts(algorithms[2])] != [self.hash_oid]:
            raise Altered("the seal names another digest than it uses")

    def _signer(self, fields):
        of_kinds(fields, 0x02, 0x30, 0x30, 0xA0, 0x30, 0x04)
        self.version, self.who = fields[0][1], fields[1][2]
        self.hash_oid, self.signed = algorithm_of(fields[2]), fields[3][2]
        self.algorithm, self.signature = algorithm_of(fields[4]), fields[5][1]
        fits = self.hash_oid in HASHES and HASHES[self.hash_oid] in ALGORITHMS.get(self.algorithm, ())
        if self.version != b"\x01" or not fits or {one[0] for one in fields[6:]} - {0xA1} or len(fields) > 7:
            raise Altered("the seal is not of the kind that sheets have")
        self.attributes = {oid_of(one[2]): parts(parts(one[2])[1][2]) for one in parts(self.signed)}
        unsigned = parts(fields[6][2]) if len(fields) > 6 else ()
        self.time_stamps = [parts(one[2])[1] for one in unsigned if oid_of(one[2]) == OID["time stamp"]]

    @property
    def signer(self):
        of_kinds(parts(self.who), 0x30, 0x02)
        serial = int.from_bytes(parts(self.who)[1][1], "big", signed=True)
        issuer = parts(self.who)[0][2]
        named = [c for c in self.certificates if c.serial_number == serial and c.issuer.public_bytes() == issuer]
        if len(named) != 1:
            raise Altered("the signer's certificate is not in the seal")
        return named[0]

    def check(self, signed_content):
        """Raises Altered unless the signer signed exactly this content, with exactly this certificate."""
        method = HASHES[self.hash_oid]()
        if self.attributes[OID["content type"]][0][1].hex() != self.content_type:
            raise Altered("the seal speaks of another kind of content")
        if self.attributes[OID["message digest"]][0][1] != _hashed(method, signed_content):
            raise Altered("what was signed is not what is here")
        bound = self.attributes.get(OID["signing certificate"])
        if bound and hashlib.sha256(self.signer.public_bytes(DER)).digest() not in bound[0][2]:
            raise Altered("the certificate is not the one that the signature names")
        _check_with(self.signer.public_key(), self.signature, b"\x31" + self.signed[1:], method)


def _hashed(method, data):
    made = hashes.Hash(method)
    made.update(data)
    return made.finalize()


def _check_with(key, signature, message, method):
    try:
        if isinstance(key, ec.EllipticCurvePublicKey):
            key.verify(signature, message, ec.ECDSA(method))
        elif isinstance(key, rsa.RSAPublicKey):
            key.verify(signature, message, padding.PKCS1v15(), method)
        else:
            raise Altered(f"a key of the kind {type(key).__name__} is not known here")
    except InvalidSignature as fault:
        raise Altered("the signature does not hold") from fault


def sealed_parts(data):
    """The bytes that the seal covers, and the seal. Raises Altered unless it covers all but itself, once."""
    ranges = BYTE_RANGE.findall(data)
    if len(ranges) != 1:
        raise Altered(
            f"{len(ranges)} seals found, one expected: the file was saved again, signed again, or never sealed"
        )
    first, length, second, rest = map(int, ranges[0])
    gap = data[length:second]
    if first != 0 or second + rest != len(data) or not HEXADECIMAL.fullmatch(gap):
        raise Altered("the seal does not cover the whole file: something was added, cut or saved again")
    raw = bytes.fromhex(gap[1:-1].decode())
    end = tlv(raw)[2]
    if any(raw[end:]):
        raise Altered("the padding behind the seal was changed")
    return data[:length] + data[second:], raw[:end]


def check_seal(found, name, data, anchors, own=()):
    """The seal of one PDF; `own` are authorities that came along."""
    try:
        covered, raw = sealed_parts(data)
        cms = Cms(raw)
        if cms.content_type != OID["data"]:
            raise Altered("the seal is not a sheet's")
        cms.check(covered)
        signer = cms.signer
    except FAULTS as fault:
        found.broken(f"{name}: seal: {fault if isinstance(fault, Altered) else 'cannot be read as one'}")
        return
    found.holds(f"{name}: sealed for {signer.subject.rfc4514_string()}, the whole file unchanged since")
    claimed = re.search(rb"/M\s*\(D(?::|\\072)(\d{14})Z", data)
    at = datetime.strptime(claimed[1].decode(), "%Y%m%d%H%M%S").replace(tzinfo=UTC) if claimed else None
    vouched = [time for one in cms.time_stamps if (time := check_time_stamp(found, name, one, cms, anchors))]
    if not vouched and at:
        found.note(f"{name}: sealed at {at} by the server's own clock; no time-stamp authority that was given says so")
    elif not vouched:
        found.unchecked(f"{name}: the seal names no time, so whether its certificate was valid then stays open")
    check_issuer(found, name, cms, anchors, own=own, at=min(vouched, default=at), vouched=bool(vouched))
    if anchors.pades:
        ask_pyhanko(found, name, data, anchors, own)


def check_issuer(found, name, cms, anchors, *, own, at, vouched):
    """Who vouches for the certificate: an authority given, else one that came along; its dates; whether revoked.

    `vouched` means that `at` is the time of a stamp by an authority given, not the word of whoever made the seal.
    """
    given = [*anchors.authorities, *([] if anchors.authorities else own)]
    chain = chain_of(cms.signer, given, cms.certificates)
    stray = [c for c in cms.certificates if c not in chain and not any(_issued(c, up) for up in cms.certificates)]
    if stray:
        found.broken(f"{name}: seal: a certificate inside it was altered or belongs to nobody")
    if chain[-1] not in given:
        told = f"{name}: certificate issued by {cms.signer.issuer.rfc4514_string()}"
        if anchors.authorities:
            return found.broken(f"{told}: not by the authority given")
        return found.unchecked(f"{told}: no --authority was given, so who that is stays open")
    if at and not valid_at(chain, at):
        return found.broken(f"{name}: certificate: one of its chain was not valid when the seal was made ({at})")
    whence = "given" if anchors.authorities else "that came along with the archive"
    found.holds(f"{name}: certificate issued by the authority {whence}: {chain[-1].subject.rfc4514_string()}")
    return check_revoked(found, name, chain, anchors, at=at, vouched=vouched)


def chain_of(leaf, given, along):
    """`leaf` and who stands above it, as far as one of those given, through those that came along."""
    chain = [leaf]
    while chain[-1] not in given and len(chain) < 8:
        upper = [c for c in (*given, *along) if c not in chain and _issued(chain[-1], c, below=len(chain) - 1)]
        if not upper:
            break
        chain.append(upper[0])
    return chain


def valid_at(chain, at):
    return all(c.not_valid_before_utc <= at <= c.not_valid_after_utc for c in chain)


def check_revoked(found, name, chain, anchors, *, at, vouched):
    """What the revocation lists given say of every certificate below the authority."""
    if not anchors.crls:
        return found.note(f"{name}: whether the certificate was revoked was not asked: no --crl was given")
    for one in chain[:-1] or chain:
        subject, lists = one.subject.rfc4514_string(), lists_about(found, one, chain, anchors)
        revoked = [when for crl in lists if (when := revoked_at(crl, one))]
        fresh = [crl for crl in lists if up_to_date(crl) or (vouched and at <= crl.last_update_utc)]
        if revoked:
            told = f"{name}: certificate of {subject} revoked at {min(revoked)}"
            if at and at >= min(revoked):
                found.broken(f"{told}, before the seal was made")
            elif vouched:
                found.holds(f"{told}, after the seal was made, as its time stamp says")
            else:
                found.unchecked(f"{told}; only the sealer's own clock says that the seal is older")
        elif not lists:
            found.unchecked(f"{name}: no --crl that was given speaks of the certificate of {subject}")
        elif not fresh:
            found.unchecked(f"{name}: the --crl about the certificate of {subject} is out of date")
        else:
            found.holds(f"{name}: certificate of {subject}: not on the revocation list of {fresh[0].last_update_utc}")
    return None


def lists_about(found, one, chain, anchors):
    """The lists given that the issuer of `one` signed and that are whole: no part of a list, none of changes only."""
    about = []
    for number, crl in enumerate(anchors.crls):
        by = [c for c in chain if c.subject == crl.issuer == one.issuer and _signed_list(crl, c)]
        if by and not any(extension.critical for extension in crl.extensions):
            found.lists_used.add(number)
            about.append(crl)
    return about


def _signed_list(crl, by):
    try:
        return crl.is_signature_valid(by.public_key())
    except FAULTS:
        return False


def up_to_date(crl):
    return crl.last_update_utc <= datetime.now(UTC) <= (crl.next_update_utc or crl.last_update_utc)


def revoked_at(crl, one):
    """Since when `crl` counts `one` as revoked: an earlier day since which its key may have been stolen goes first."""
    entry = crl.get_revoked_certificate_by_serial_number(one.serial_number)
    if entry is None:
        return None
    stolen = [e.value.invalidity_date_utc for e in entry.extensions if isinstance(e.value, x509.InvalidityDate)]
    return min([entry.revocation_date_utc, *stolen])


def check_lists_used(found, anchors):
    for number, crl in enumerate(anchors.crls):
        if number not in found.lists_used:
            issuer = crl.issuer.rfc4514_string()
            found.unchecked(f"--crl of {issuer}: is about no certificate here, or is no whole list")


def _issued(one, by, below=0):
    """Whether `by` is an authority, may have `below` authorities under it, and signed `one`."""
    try:
        about = by.extensions.get_extension_for_class(x509.BasicConstraints).value
        if not about.ca or (about.path_length is not None and about.path_length < below):
            return False
        one.verify_directly_issued_by(by)
    except (InvalidSignature, x509.ExtensionNotFound, *FAULTS):
        return False
    return True


def check_time_stamp(found, name, token, cms, anchors):
    """The time at which an authority given saw the seal (RFC 3161); None where no such authority vouches for it."""
    try:
        stamp = Cms(token[2] if token[0] == 0x30 else parts(token[2])[0][2])
        if stamp.content_type != OID["time stamp content"]:
            raise Altered("is none")
        stamp.check(stamp.content)
        fields = parts(stamp.content)
        method, imprint = HASHES[oid_of(parts(fields[2][2])[0][2])](), parts(fields[2][2])[1][1]
        if imprint != _hashed(method, cms.signature):
            raise Altered("was made for another seal")
        at = datetime.strptime(fields[4][1][:14].decode(), "%Y%m%d%H%M%S").replace(tzinfo=UTC)
        if not _stamps(stamp.signer):
            raise Altered("its certificate is not one for time stamps")
        chain = chain_of(stamp.signer, anchors.authorities, stamp.certificates)
        if not valid_at(chain, at):
            raise Altered(f"a certificate of its chain was not valid at its time ({at})")
    except FAULTS as fault:
        found.broken(f"{name}: time stamp: {fault if isinstance(fault, Altered) else 'cannot be read as one'}")
        return None
    told = f"{name}: time stamp of {at} by {stamp.signer.subject.rfc4514_string()}"
    revoked = [one for one in chain for crl in lists_about(found, one, chain, anchors) if revoked_at(crl, one)]
    if chain[-1] not in anchors.authorities:
        found.unchecked(f"{told}: the authority behind it was not given with --authority")
    elif revoked:
        found.unchecked(f"{told}: its certificate was revoked since, so its time is not relied on")
    else:
        found.holds(f"{told}, issued by an authority given")
        return at
    return None


def _stamps(certificate):
    """Whether a certificate is for time stamps and for nothing else (RFC 3161)."""
    try:
        uses = certificate.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    except x509.ExtensionNotFound:
        return False
    return list(uses) == [ExtendedKeyUsageOID.TIME_STAMPING]


def ask_pyhanko(found, name, data, anchors, own):
    """The same seal by another program, which also knows the PAdES profile and what a change to the file may be."""
    try:
        from asn1crypto import x509 as asn1  # noqa: PLC0415 - only where it is there, and a second to load
        from pyhanko.pdf_utils.reader import PdfFileReader  # noqa: PLC0415 - as above
        from pyhanko.sign.validation import validate_pdf_signature  # noqa: PLC0415 - as above
        from pyhanko_certvalidator import ValidationContext  # noqa: PLC0415 - as above
    except ImportError:
        return found.unchecked(f"{name}: --pades: the package pyhanko is not installed")
    try:
        roots = [asn1.Certificate.load(c.public_bytes(DER)) for c in (*anchors.authorities, *own)]
        signature = PdfFileReader(io.BytesIO(data)).embedded_signatures[0]
        status = validate_pdf_signature(signature, ValidationContext(trust_roots=roots, allow_fetching=False))
    except Exception as fault:  # whatever the other program makes of a broken file
        return found.broken(f"{name}: pyhanko cannot read its seal: {type(fault).__name__}: {str(fault)[:80]}")
    return found.check(
        status.bottom_line, f"{name}: pyhanko agrees: {status.summary()}", f"{name}: pyhanko: {status.summary()}"
    )


def embedded(data):
    """The documents inside a PDF, as bytes. Raises Altered for more than any sheet holds."""
    found, room = [], LARGEST_INSIDE
    for match in EMBEDDED.finditer(data):
        start = data.find(b"stream", match.end())
        begins = start + len(b"stream") + (2 if data[start + 6 : start + 8] == b"\r\n" else 1)
        reader = zlib.decompressobj()
        try:
            one = reader.decompress(memoryview(data)[begins:], room + 1)
        except zlib.error:
            one = data[begins : data.find(b"endstream", begins)].rstrip(b"\r\n")
        found.append(one)
        room -= len(one)
        if room < 0 or len(found) > MOST_INSIDE:
            raise Altered("the documents inside are more than any sheet holds")
    return found


def check_documents(found, name, data, *, records, protocols, trusted):
    """The documents inside a sheet: the record as signed, and its parts, each the very bytes."""
    inside = embedded(data)
    wanted = [one for one in inside if one in records]
    if len(wanted) != 1:
        return found.broken(f"{name}: the record inside it is not the record that was signed")
    record = read(wanted[0], f"{name}: record.json")
    expected = {wanted[0], canonical(record["situation"]), canonical(record["decision"]), *protocols}
    strangers = [one for one in inside if one not in expected and not _signatures_of(found, name, one, record, trusted)]
    return found.check(
        not strangers,
        f"{name}: the record inside it is the one that was signed, code {short_code(sha256(wanted[0]))}",
        f"{name}: {len(strangers)} documents inside it are not parts of the record",
    )


def _signatures_of(found, name, data, record, trusted):
    """Whether `data` lists signatures of this very record, all of which hold."""
    try:
        given = read(data, name)
        if not isinstance(given, dict) or given.get("format") != SIGNATURES:
            return False
        looked = Findings()
        check_record(
            looked, record, given["signatures"], [given["receipt"]] if given["receipt"] else [], trusted=trusted
        )
    except (Altered, KeyError, TypeError):
        return False
    found.lines += [(state, f"{name}: {what}") for state, what in looked.lines if state != "holds"]
    return True


# --- what can be handed to this program: an archive, a sheet, one record ---


def certificates_in(data):
    return x509.load_pem_x509_certificates(data) if data.strip() else []


def check_archive(found, files, anchors):
    """An operation's archive. Returns the entries of its log, in which further sheets can be looked for."""
    manifest, signed = read(files[MANIFEST], MANIFEST), read(files[MANIFEST_SIGNATURE], MANIFEST_SIGNATURE)
    if manifest.get("format") != INQUIRY or signed.keys() != {"key_id", "signature"}:
        raise Altered(f"{MANIFEST}: given {manifest.get('format')!r}, accepted {INQUIRY}")
    about = manifest["operation"]
    found.note(f"operation {about['title']!r} of {about['agency']}, id {about['id']}")
    check_manifest(found, files, manifest)
    server = read(files["keys/server.json"], "keys/server.json")
    trusted = trusted_keys(found, anchors, server["keys"], server["handovers"])
    found.check(
        server_signed(trusted, signed["key_id"], files[MANIFEST], signed["signature"]),
        "the list of files: signed by the server",
        "the list of files: the server's signature on it does not hold",
    )
    head, heads = manifest["head"], read(files["log/heads.json"], "log/heads.json")
    check_heads(found, anchors, trusted, head, heads)
    proofs = read(files["log/proofs.json"], "log/proofs.json")
    entries = check_entries(found, files["log/entries.jsonl"], proofs, head)
    check_protocols(found, files, manifest, entries)
    check_revisions(found, files, manifest, entries, trusted)
    own = {index: one for index, one in entries.items() if one["detail"].get("operation") == about["id"]}
    check_voids(found, manifest, own)
    check_lines(found, files, manifest, own)
    check_photos(found, files, manifest, own)
    check_sheets(found, files, manifest, entries, trusted=trusted, anchors=anchors)
    for gone in manifest["missing"]:
        found.unchecked(f"{gone['what']}: was not there when the archive was made ({gone['why']})")
    found.note("that no entry about this operation was left out can only be shown with the whole log (check_audit)")
    return entries


def check_manifest(found, files, manifest):
    listed = manifest["files"]
    names = files.keys() - {MANIFEST, MANIFEST_SIGNATURE}
    for name in sorted(listed.keys() - names):
        found.broken(f"{name}: is listed and not here")
    for name in sorted(names - listed.keys()):
        found.broken(f"{name}: is here and not listed")
    wrong = [name for name in sorted(names & listed.keys()) if sha256(files[name]) != listed[name]]
    for name in wrong:
        found.broken(f"{name}: its content is not the one listed (SHA-256)")
    if not wrong and names == listed.keys():
        found.holds(f"{len(names)} files, each with the SHA-256 listed")


def check_protocols(found, files, manifest, entries):
    for one in manifest["protocols"]:
        document = read(files[one["file"]], one["file"])
        name, of = f"protocol {one['id']} {one['version']}", digest(document)
        adopted = [e for e in entries.values() if e["verb"] == "adopt_protocol" and e["detail"].get("digest") == of]
        if of != one["digest"]:
            found.broken(f"{name}: the document has another digest than the one adopted")
        elif not adopted:
            found.unchecked(f"{name}: no entry of the log says who adopted it")
        else:
            found.holds(f"{name}: digest {of[:10]}, adopted by {adopted[-1]['actor_name']} at {adopted[-1]['at']}")


def check_revisions(found, files, manifest, entries, trusted):
    """Every record, and that they follow one another without a gap."""
    keys, digests, revisions = {}, {}, manifest["revisions"]
    for entry in entries.values():
        if entry["verb"] == "set_signing_code" and entry["actor"] == entry["subject_id"]:
            keys.setdefault(entry["subject_id"], set()).add(entry["detail"]["public_key"])
    protocols = {one["digest"] for one in manifest["protocols"]}
    for one in revisions:
        looked, folder = Findings(), one["folder"]
        record = read(files[f"{folder}/record.json"], f"{folder}/record.json")
        signatures = read(files[f"{folder}/signatures.json"], f"{folder}/signatures.json")
        receipts = read(files[f"{folder}/receipts.json"], f"{folder}/receipts.json")
        of = check_record(looked, record, signatures, receipts, trusted=trusted, keys=keys)
        check_logged(looked, entries, record, of=of, receipts=receipts, signatures=signatures)
        if of != one["digest"] or record["operation"]["id"] != manifest["operation"]["id"]:
            looked.broken("is not the record listed, or one of another operation")
        if record["decision"]["protocol"]["digest"] not in protocols:
            looked.broken("the protocol that it was decided under is not here")
        digests[of] = record["revision"]
        found.lines += [(state, f"revision {record['revision']} ({of[:10]}): {what}") for state, what in looked.lines]
        previous = record["previous"]
        if (digests.get(previous) if previous else 0) != record["revision"] - 1:
            found.broken(f"revision {record['revision']} ({of[:10]}): the revision before it is not here")
        for merged in record.get("merges", ()):
            if merged not in digests:
                found.broken(f"revision {record['revision']} ({of[:10]}): a revision that it puts together is not here")
    own = manifest["operation"]["id"]
    received = [e["detail"] for e in entries.values() if e["verb"] == "receive_record"]
    came = {detail["digest"] for detail in received if detail["operation"] == own}
    found.check(
        came == digests.keys(),
        f"{len(digests)} revisions follow one another, as many as the log received",
        f"the log received {len(came)} records of this operation, {len(digests)} are here",
    )


def check_photos(found, files, manifest, entries):
    """Every photo that a record names or that the log received is here, to the byte, or listed as missing."""
    here = {(one["photo"], sha256(files[one["file"]])) for one in manifest["attachments"] if "photo" in one}
    gone = {(one["photo"], one["sha256"]) for one in manifest["missing"] if "photo" in one}
    records = [json.loads(files[f"{one['folder']}/record.json"]) for one in manifest["revisions"]]
    named = {(one["id"], one["sha256"]) for record in records for one in record.get("photos", ())}
    came = {(e["subject_id"], e["detail"]["sha256"]) for e in entries.values() if e["verb"] == "receive_photo"}
    found.check(
        named | came <= here | gone and here <= named | came,
        f"{len(here)} photos, each as named by a record or received by the log",
        f"photos: {len((named | came) - here - gone)} that a record names or the log received are not here, "
        f"{len(here - named - came)} are here that nothing speaks of",
    )


def check_voids(found, manifest, entries):
    """Which records were declared void: the list and the log say the same."""
    voids = [e for e in entries.values() if e["verb"] == "void_record"]
    said = {e["detail"]["digest"]: e for e in voids if e["detail"]["operation"] == manifest["operation"]["id"]}
    listed = {one["digest"] for one in manifest["revisions"] if one["void"]}
    if not found.check(
        listed == said.keys(),
        f"{len(listed)} records declared void, as the log says",
        f"{len(said)} records were declared void by the log, {len(listed)} by the list",
    ):
        return
    for of, entry in said.items():
        found.note(f"record {of[:10]}: VOID since {entry['at']}, by {entry['actor_name']}: {entry['detail']['reason']}")


def check_lines(found, files, manifest, entries):
    """The conditions log: every line is in the log of the server under its digest, and the other way round."""
    lines = [read(line, "a line of the conditions log") for line in files["conditions.jsonl"].split(b"\n")[:-1]]
    here = {(one["id"], f"log_{one['kind']}", digest(one)) for one in lines}
    entered = [e for e in entries.values() if e["subject_type"] == "operations.logentry"]
    said = {(e["subject_id"], e["verb"], e["detail"]["digest"]) for e in entered}
    strangers = [one for one in lines if one["operation"]["id"] != manifest["operation"]["id"]]
    found.check(
        here == said and not strangers and len(here) == len(lines),
        f"conditions log: {len(lines)} lines, each in the log",
        f"conditions log: {len(lines)} lines are here, {len(said)} in the log, and they are not the same",
    )


def check_sheets(found, files, manifest, entries, *, trusted, anchors):
    records = {files[f"{one['folder']}/record.json"] for one in manifest["revisions"]}
    protocols = {files[one["file"]] for one in manifest["protocols"]}
    own = certificates_in(files["keys/authorities.pem"])
    sealed = {e["detail"]["sha256"] for e in entries.values() if e["verb"] == "seal_sheet"}
    here = {sha256(files[one["file"]]) for one in manifest["sheets"]}
    gone = {one["sha256"] for one in manifest["missing"] if "sha256" in one}
    for one in manifest["sheets"]:
        data, name = files[one["file"]], one["file"]
        check_logged_sheet(found, name, data, entries)
        check_seal(found, name, data, anchors, own)
        check_documents(found, name, data, records=records, protocols=protocols, trusted=trusted)
    if sealed - here - gone:
        found.broken(f"{len(sealed - here - gone)} sheets were sealed and are not here")


def check_logged_sheet(found, name, data, entries):
    """Whether the log says that exactly these bytes were sealed, as the sheet of the record inside."""
    of = sha256(data)
    seals = [e for e in entries.values() if e["verb"] == "seal_sheet" and e["detail"]["sha256"] == of]
    if not seals:
        return found.broken(f"{name}: the log knows no sheet with this SHA-256: altered, or not of this operation")
    issued = {
        e["detail"]["code"]
        for e in entries.values()
        if e["verb"] == "issue_sheet" and e["subject_id"] == seals[0]["subject_id"]
    }
    codes = {short_code(sha256(one)) for one in embedded(data)}
    return found.check(
        issued & codes,
        f"{name}: SHA-256 as in entry {seals[0]['index']} of the log",
        f"{name}: was issued for another record than the one inside it",
    )


def check_sheet(found, name, data, anchors, archives=()):
    """One PDF: its seal, the record and signatures inside it, and its place in the logs of the archives beside it.

    `archives` are the entries of each archive that was given; None stands for one that did not open.
    """
    logs = [entries for entries in archives if entries is not None]
    if logs:
        of = sha256(data)
        mine = [one for one in logs if any(e["detail"].get("sha256") == of for e in one.values())]
        if mine or len(logs) == len(archives):
            check_logged_sheet(found, name, data, (mine or logs)[0])
    if len(logs) < len(archives):
        found.unchecked(f"{name}: an archive that was given could not be opened, so its log was not asked")
    if anchors.heads and not logs:
        found.unchecked(
            f"{name}: --heads was given, and a sheet holds no log to compare it with: give its archive, too"
        )
    check_seal(found, name, data, anchors)
    inside = {kind: [one for one in embedded(data) if f'"opsrisk.{kind}/'.encode() in one] for kind in KINDS}
    if not inside["record"]:
        return found.broken(f"{name}: no record is inside it")
    record = read(inside["record"][0], f"{name}: record.json")
    wanted = record["decision"]["protocol"]["digest"]
    trusted = {}
    if inside["signatures"]:
        given = read(inside["signatures"][0], f"{name}: signatures.json")
        trusted = trusted_keys(found, anchors, given["server_keys"], given["handovers"])
        found.note(f"{name}: signed by {', '.join(one['name'] for one in given['signatures']) or 'nobody'}")
        found.note(f"{name}: {WHOSE_KEYS}")
    else:
        found.unchecked(f"{name}: no signatures are inside it: ask for the record's file")
    rules = {one for one in inside["protocol"] if sha256(one) == wanted}
    return check_documents(found, name, data, records=set(inside["record"][:1]), protocols=rules, trusted=trusted)


def check_evidence(found, given, anchors):
    """One record's file: record, signatures, receipt, and its entry's place in the log."""
    trusted = trusted_keys(found, anchors, given["server_keys"], given.get("handovers", []))
    seal = given.get("seal", {})
    said = canonical({name: value for name, value in given.items() if name != "seal"})
    found.check(
        server_signed(trusted, seal.get("key_id"), said, seal.get("signature")),
        "the file as a whole: signed by the server",
        "the file as a whole: the server's signature on it does not hold, or it has none",
    )
    of = check_record(found, given["record"], given["signatures"], [given["receipt"]], trusted=trusted)
    found.check(of == given["digest"], f"digest {of}", f"digest: {given['digest']} is named, {of} is the record's")
    log = given["ledger"]
    check_heads(found, anchors, trusted, log["head"], [])
    text = log["entry"].encode() + b"\n"
    entries = check_entries(found, text, {str(log["index"]): log["path"]}, log["head"])
    entry = entries[log["index"]]
    if entry["detail"].get("digest") != of or entry["index"] != given["receipt"]["entry"]:
        found.broken("log: the entry that came along is not the one of this record")
    found.note(WHOSE_KEYS)


def kind_of(name, data):
    """What was handed in, by what is in it; a name counts only where the content says nothing."""
    if isinstance(data, dict):
        return "folder"
    for kind, begins in (("archive", b"PK"), ("sheet", b"%PDF")):
        if data.startswith(begins):
            return kind
    if not data.strip():
        return "nothing"
    if name.lower().endswith((".zip", ".pdf")):
        return "archive" if name.lower().endswith(".zip") else "sheet"
    return "record" if EVIDENCE.encode() in data else "nothing"


def verify(name, data, anchors, archives=()):
    """Findings on one file: an archive (bytes, or a folder's files), a sheet or a record's file."""
    found, kind = Findings(), kind_of(name, data)
    try:
        if kind == "folder":
            found.note(f"{name}: a folder; that nothing was lost in unpacking is shown by its list of files")
            found.opened = check_archive(found, data, anchors)
        elif kind == "archive":
            files = unpacked(data)
            found.holds(f"{name}: the archive's bytes are those that its content gives")
            found.opened = check_archive(found, files, anchors)
        elif kind == "sheet":
            check_sheet(found, name, data, anchors, archives)
        elif kind == "record":
            given = read(data, name)
            if not isinstance(given, dict) or given.get("format") != EVIDENCE:
                raise Altered(f"{name}: accepted an archive, a sheet or a record's file ({EVIDENCE})")
            check_evidence(found, given, anchors)
        else:
            found.unchecked(
                f"{name}: cannot be read: given {len(data)} bytes that are no archive, no sheet and no record's file; "
                "accepted one of these"
            )
    except Altered as fault:
        found.broken(str(fault))
    except FAULTS as fault:
        found.broken(f"{name}: something in it is missing or of the wrong kind ({type(fault).__name__}: {fault})")
    if kind in {"folder", "archive", "sheet"}:
        check_lists_used(found, anchors)
    return found


# --- at the command line ---

KEY = re.compile(r"(?<![A-Za-z0-9+/=])[A-Za-z0-9+/]{43}=(?![A-Za-z0-9+/=])")  # a whole one, no tail of something longer
PEM = re.compile(r"-----BEGIN.*?(?:-----END[^\n]*|\Z)", re.DOTALL)


def keys_from(given):
    """Public keys by id, from base64 itself or a file that holds some."""
    text = Path(given).read_text() if len(given) != 44 or Path(given).exists() else given
    found = {}
    for one in KEY.findall(PEM.sub(" ", text)):
        found[key_id(one)] = one
    if not found:
        raise Unreadable(f"given {given[:60]}, accepted a public key of 44 characters, or a file that holds one")
    return found


def certificates_from(path):
    data = Path(path).read_bytes()
    found = x509.load_pem_x509_certificates(data) if b"-----BEGIN" in data else [x509.load_der_x509_certificate(data)]
    for one in found:
        one.public_key()  # a kind of key that is not known here is said now
    return found


def lists_from(path):
    data = Path(path).read_bytes()
    found = x509.load_pem_x509_crl(data) if b"-----BEGIN" in data else x509.load_der_x509_crl(data)
    for one in (found, *found):
        list(one.extensions)  # what cannot be read in it is said now
    return found


def heads_from(path):
    found = [json.loads(line) for line in Path(path).read_text().splitlines() if line.strip()]
    text = ("root", "at", "key_id", "signature")
    for one in found:
        fits = isinstance(one, dict) and one.get("format") == HEAD_FORMAT and type(one.get("size")) is int
        if not fits or not all(isinstance(one.get(name), str) for name in text):
            raise Unreadable(f"given {json.dumps(one)[:60]}, accepted lines that each hold a head ({HEAD_FORMAT})")
    if not found:
        raise Unreadable("given a file without a head, accepted one head of the log a line")
    return found


def _read_with(option, reader, given):
    """What `reader` finds. Raises Unreadable, naming the option: the inquirer's own files are never called altered."""
    try:
        return reader(given)
    except (OSError, *FAULTS) as fault:
        raise Unreadable(f"{option} {given[:200]}: {str(fault)[:200] or type(fault).__name__}") from fault


def anchors_from(options):
    keys = {}
    for given in options.key:
        keys |= _read_with("--key", keys_from, given)
    authorities = [one for path in options.authority for one in _read_with("--authority", certificates_from, path)]
    heads = [one for path in options.heads for one in _read_with("--heads", heads_from, path)]
    crls = [_read_with("--crl", lists_from, path) for path in options.crl]
    return Anchors(keys, authorities, crls, heads, options.pades)


def opened(given):
    path = Path(given)
    if path.is_dir():
        return {one.relative_to(path).as_posix(): one.read_bytes() for one in path.rglob("*") if one.is_file()}
    return path.read_bytes()


def in_print(text):
    """`text` on one line, every character of it to be seen: what a file says of itself must not pass for a verdict."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in str(text))


def main(arguments=None):
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    options = options_from(arguments)
    try:
        anchors = anchors_from(options)
        given = [(name, _read_with("file", opened, name)) for name in options.file]
    except Unreadable as fault:
        print(f"cannot be read: {in_print(fault)}", file=sys.stderr)
        return 2
    given.sort(key=lambda one: kind_of(*one) == "sheet")  # after the archives, in whose logs they are looked for
    codes, archives = [], []
    for name, data in given:
        found = verify(name, data, anchors, archives)
        if kind_of(name, data) in {"archive", "folder"}:
            archives.append(found.opened)
        codes.append(found.code)
        print(f"{in_print(name)}:")
        for state, what in found.lines:
            print(f"  {state}: {in_print(what)}")
        print(f"  => {OUTCOMES[found.code]}")
    print("This says whether something was altered, not whether a decision was right. Local protocols and law prevail.")
    return 1 if 1 in codes else max(codes)


def options_from(arguments):
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("file", nargs="+", help="an archive or its folder, a sheet (PDF), a record's file (JSON)")
    for name in ("--key", "--authority", "--crl", "--heads"):
        parser.add_argument(name, action="append", default=[])
    parser.add_argument("--pades", action="store_true", help="ask pyhanko, too")
    return parser.parse_args(arguments)


OUTCOMES = (
    "everything was checked and holds",
    "ALTERED, or not what it claims to be",
    "not everything could be checked",
)

if __name__ == "__main__":
    sys.exit(main())
