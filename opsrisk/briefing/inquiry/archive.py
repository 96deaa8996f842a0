"""The archive's files and bytes. The same rows and the same head of the log give the same bytes."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from django.conf import settings

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.record import canonical
from opsrisk.briefing import seal
from opsrisk.briefing.inquiry import gather, index
from opsrisk.briefing.inquiry.moment import Moment, moment
from opsrisk.briefing.inquiry.photos import Attachment, attached
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.files import unchanged
from opsrisk.ledger import exports, signing
from opsrisk.ledger.proofs import slice_of
from opsrisk.operations.models import Operation
from opsrisk.protocols.models import ProtocolVersion

VERIFIER = Path(verifier.__file__)
STYLE = Path(settings.BASE_DIR) / "opsrisk" / "static" / "briefing" / "archive.css"


def archive(operation: Operation, attachments: Sequence[Attachment] = ()) -> bytes:
    """Everything about `operation` in one file that verifies without this server. Raises NotAsStored or TooLarge."""
    of = moment(operation.pk)
    _check_room(of, attachments)
    files, document = _gathered(of, attachments)
    files["index.html"] = index.page(of, document, _listed(files))
    files["keys/server.json"] = canonical({"keys": signing.public_keys(), "handovers": signing.handovers()})
    files["keys/authorities.pem"] = seal.authorities()
    files["verify_operation.py"] = VERIFIER.read_bytes()
    files["archive.css"] = STYLE.read_bytes()
    return sealed(files, document | {"files": _listed(files)})


def _check_room(of: Moment, attachments: Sequence[Attachment]) -> None:
    """Before anything is read: photos are what makes an archive large."""
    size = sum(one.size for one in of.photos) + sum(len(one.data) for one in attachments)
    if size > verifier.LARGEST_ARCHIVE:
        raise verifier.TooLarge(f"archive: given {size} bytes of photos, accepted at most {verifier.LARGEST_ARCHIVE}")


def _listed(files: Mapping[str, bytes]) -> dict[str, str]:
    return {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}


def sealed(files: Mapping[str, bytes], document: Mapping[str, Any]) -> bytes:
    """The zip of `files` with the list of them, signed by the server."""
    listed = canonical(dict(document))
    signed = signing.sign(listed)
    signature = canonical({"key_id": signed.key_id, "signature": signed.signature})
    return verifier.packed({**files, verifier.MANIFEST: listed, verifier.MANIFEST_SIGNATURE: signature})


def _gathered(of: Moment, more: Sequence[Attachment]) -> tuple[dict[str, bytes], dict[str, Any]]:
    """The files that carry evidence, and the list of what they are."""
    here, absent = attached(of.photos)
    attachments = [*here, *more]
    sheets = [(one, unchanged(one.path, one.sha256)) for one in of.sheets]
    log = slice_of(of.entries, exports.read(exports.path()), under=of.head)
    files = {
        "conditions.jsonl": b"".join(line + b"\n" for line in of.lines),
        "told.json": canonical(of.told),
        "log/entries.jsonl": log["entries"],
        "log/proofs.json": canonical(log["proofs"]),
        "log/heads.json": canonical(log["heads"]),
    }
    for one in of.revisions:
        files |= _files(one)
    files |= {_protocol_file(row): canonical(row.rules().document) for row in of.protocols}
    files |= {sheet.file: data for sheet, data in sheets if data is not None}
    files |= {f"attachments/{one.name}": one.data for one in attachments}
    document = {
        "format": verifier.INQUIRY,
        "operation": _operation(of.operation),
        "head": log["head"],
        "revisions": [_revision(one) for one in of.revisions],
        "sheets": [_sheet(sheet) for sheet, data in sheets if data is not None],
        "missing": [*(_missing(sheet) for sheet, data in sheets if data is None), *absent],
        "protocols": [_protocol(row) for row in of.protocols],
        "attachments": [_attachment(one) for one in attachments],
        "cautions": list(CAUTIONS),
    }
    return files, document


def _files(one: gather.Revision) -> dict[str, bytes]:
    parts = {"record": one.record, "signatures": canonical(one.signatures), "receipts": canonical(one.receipts)}
    return {f"{one.folder}/{name}.json": data for name, data in parts.items()}


def _operation(row: Operation) -> dict[str, Any]:
    return {
        "id": str(row.pk),
        "title": row.title,
        "place": row.place,
        "kind": row.kind,
        "agency": row.agency.name,
        "called_at": row.called_at.isoformat(),
        "closed_at": row.closed_at.isoformat() if row.closed_at else None,
        "outcome": row.outcome,
    }


def _revision(one: gather.Revision) -> dict[str, Any]:
    later = one.row.superseded_by
    voider = one.row.voided_by.name if one.row.voided_by else ""
    void = (
        {"at": one.row.voided_at.isoformat(), "by": voider, "reason": one.row.void_reason}
        if one.row.voided_at
        else None
    )
    state = {
        "superseded_by": later.digest if later else None,
        "rival": one.row.rival,
        "differs": one.row.differs,
        "void": void,
    }
    return {"folder": one.folder, "revision": one.row.revision, "digest": one.row.digest, **state}


def _sheet(one: gather.SealedSheet) -> dict[str, Any]:
    row = one.row
    withdrawn = {"at": row.withdrawn_at.isoformat(), "reason": row.withdrawn_reason} if row.withdrawn_at else None
    about = {"code": row.code, "paper": row.paper, "entry": one.entry, "withdrawn": withdrawn}
    return {"file": one.file, "sha256": one.sha256, **about}


def _missing(one: gather.SealedSheet) -> dict[str, Any]:
    return {"what": one.file, "sha256": one.sha256, "why": gather.UNCHANGED_SINCE}


def _protocol_file(row: ProtocolVersion) -> str:
    return f"protocols/{row.digest[:16]}.json"


def _protocol(row: ProtocolVersion) -> dict[str, Any]:
    adopter = row.adopted_by.name if row.adopted_by else None
    return {
        "file": _protocol_file(row),
        "id": row.protocol_id,
        "version": row.version,
        "digest": row.digest,
        "author": row.author.name,
        "adopted_by": adopter,
        "adopted_at": row.adopted_at.isoformat() if row.adopted_at else None,
        "effective_from": row.effective_from.isoformat() if row.effective_from else None,
        "reason": row.reason,
    }


def _attachment(one: Attachment) -> dict[str, Any]:
    return {"file": f"attachments/{one.name}", "sha256": hashlib.sha256(one.data).hexdigest(), **one.about}
