"""The archive's files and bytes. The same rows and the same head of the log give the same bytes."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.assessment.record import canonical
from opsrisk.briefing import seal
from opsrisk.briefing.inquiry import gather, index
from opsrisk.briefing.inquiry.photos import Attachment, photos
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.ledger import exports, signing
from opsrisk.ledger.actions import hold_still
from opsrisk.ledger.proofs import slice_of
from opsrisk.operations.briefed import corrections_of, rounds_of, voids_of
from opsrisk.operations.models import Operation
from opsrisk.protocols.models import ProtocolVersion

VERIFIER = Path(verifier.__file__)
STYLE = Path(settings.BASE_DIR) / "opsrisk" / "static" / "briefing" / "archive.css"


def archive(operation: Operation, attachments: Sequence[Attachment] = ()) -> bytes:
    """Everything about `operation` in one file that verifies without this server. Raises NotAsStored."""
    with transaction.atomic():
        hold_still()  # rows, files and log are of one moment: every write waits for the head's row
        files, gathered = _gathered(operation, attachments)
        files["index.html"] = index.page(operation, gathered, _listed(files))
    files["keys/server.json"] = canonical({"keys": signing.public_keys(), "handovers": signing.handovers()})
    files["keys/authorities.pem"] = seal.authorities()
    files["verify_operation.py"] = VERIFIER.read_bytes()
    files["archive.css"] = STYLE.read_bytes()
    return sealed(files, gathered["document"] | {"files": _listed(files)})


def _listed(files: Mapping[str, bytes]) -> dict[str, str]:
    return {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}


def sealed(files: Mapping[str, bytes], document: Mapping[str, Any]) -> bytes:
    """The zip of `files` with the list of them, signed by the server."""
    listed = canonical(dict(document))
    signed = signing.sign(listed)
    signature = canonical({"key_id": signed.key_id, "signature": signed.signature})
    return verifier.packed({**files, verifier.MANIFEST: listed, verifier.MANIFEST_SIGNATURE: signature})


def _gathered(operation: Operation, more: Sequence[Attachment]) -> tuple[dict[str, bytes], dict[str, Any]]:
    """The files that carry evidence, and what the list of them and the page to read are made of."""
    here, absent = photos(operation)
    attachments = [*here, *more]
    revisions, sheets = gather.revisions(operation), gather.sheets(operation)
    protocols, entries = gather.protocols(revisions), gather.entries(operation, revisions)
    log, told = slice_of(entries, exports.read(exports.path())), _told(operation)
    files = {
        "conditions.jsonl": b"".join(line + b"\n" for line in gather.lines(operation)),
        "told.json": canonical(told),
        "log/entries.jsonl": log["entries"],
        "log/proofs.json": canonical(log["proofs"]),
        "log/heads.json": canonical(log["heads"]),
    }
    for one in revisions:
        files |= _files(one)
    files |= {_protocol_file(one): canonical(one.rules().document) for one in protocols}
    files |= {one.file: one.data for one in sheets if one.data is not None}
    files |= {f"attachments/{one.name}": one.data for one in attachments}
    document = {
        "format": verifier.INQUIRY,
        "operation": _operation(operation),
        "head": log["head"],
        "revisions": [_revision(one) for one in revisions],
        "sheets": [_sheet(one) for one in sheets if one.data is not None],
        "missing": [*(_missing(one) for one in sheets if one.data is None), *absent],
        "protocols": [_protocol(one) for one in protocols],
        "attachments": [_attachment(one) for one in attachments],
        "cautions": list(CAUTIONS),
    }
    return files, {"document": document, "told": told, "revisions": revisions, "sheets": sheets, "entries": entries}


def _files(one: gather.Revision) -> dict[str, bytes]:
    parts = {"record": one.record, "signatures": canonical(one.signatures), "receipts": canonical(one.receipts)}
    return {f"{one.folder}/{name}.json": data for name, data in parts.items()}


def _told(operation: Operation) -> dict[str, Any]:
    """What records, log lines and entries tell together, for reading: rounds of the briefing, corrections, voids."""
    found = {
        "rounds": rounds_of(operation),
        "corrections": corrections_of(operation),
        "voids": voids_of(operation),
    }
    told: dict[str, Any] = json.loads(json.dumps(found, default=_iso))
    return told


def _iso(at: datetime) -> str:
    return at.isoformat()


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
