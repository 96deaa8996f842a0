"""Reading what announces a photo, as a tablet sends it. Nothing is looked up, stored or repaired here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from opsrisk.assessment.record import canonical, digest
from opsrisk.operations.opened import Named
from opsrisk.operations.records import DEVICE, LONGEST_CAPTION, OPERATION, TEXT_OR_NOTHING, Reader, parsed

FORMAT = "opsrisk.photo/1"
LARGEST_BYTES = 20 * 1024 * 1024
LEAST_PART, LARGEST_PART = 1024, 256 * 1024
MOST_PARTS = 400
MANIFEST: Mapping[str, Any] = {
    "format": str, "id": str, "operation": dict, "record": TEXT_OR_NOTHING, "caption": str, "taken_at": str, "by": str,
    "size": int, "sha256": str, "part_bytes": int, "parts": list, "device": dict,
}  # fmt: skip


@dataclass(frozen=True)
class Manifest:
    """One photo; `record` is the assessment that it was taken for, if it was taken before the signature."""

    document: Mapping[str, Any]
    digest: str
    id: UUID
    operation: Named
    record: UUID | None
    caption: str
    taken_at: datetime
    by: UUID
    size: int
    sha256: str
    part_bytes: int
    parts: tuple[str, ...]

    @property
    def text(self) -> str:
        return canonical(self.document).decode()

    def length(self, number: int) -> int:
        """Bytes of part `number`; the last one has what is left."""
        return min(self.part_bytes, self.size - number * self.part_bytes)


def read_manifest(body: bytes) -> Manifest:
    """The manifest in `body`. Raises Refused naming every field that is wrong."""
    reader = Reader()
    top = reader.table("", parsed(body), MANIFEST)
    reader.stop()
    if top["format"] != FORMAT:
        reader.fault("format", top["format"], FORMAT)
    operation = reader.table("operation", top["operation"], OPERATION)
    reader.table("device", top["device"], DEVICE)
    _check_sizes(reader, top)
    reader.stop()
    found = Manifest(
        document=top,
        digest=digest(top),
        id=reader.uuid("id", top["id"]),
        operation=_operation(reader, operation),
        record=reader.uuid("record", top["record"]) if top["record"] else None,
        caption=reader.text("caption", top["caption"], LONGEST_CAPTION),
        taken_at=reader.moment("taken_at", top["taken_at"]),
        by=reader.uuid("by", top["by"]),
        size=top["size"],
        sha256=reader.hexadecimal("sha256", top["sha256"]),
        part_bytes=top["part_bytes"],
        parts=tuple(reader.hexadecimal(f"parts[{n}]", one) for n, one in enumerate(top["parts"])),
    )
    reader.stop()
    return found


def _operation(reader: Reader, given: Mapping[str, Any]) -> Named:
    return Named(
        id=reader.uuid("operation.id", given["id"]),
        title=reader.text("operation.title", given["title"], 200),
        site=reader.uuid("operation.site", given["site"]) if given["site"] else None,
        place=reader.text("operation.place", given["place"], 300, empty=True),
    )


def _check_sizes(reader: Reader, top: Mapping[str, Any]) -> None:
    size, part = top["size"], top["part_bytes"]
    if not 1 <= size <= LARGEST_BYTES:
        reader.fault("size", f"{size} bytes", f"1 to {LARGEST_BYTES} bytes: take the photo again with fewer pixels")
    if not LEAST_PART <= part <= LARGEST_PART:
        reader.fault("part_bytes", part, f"{LEAST_PART} to {LARGEST_PART} bytes")
    reader.stop()
    wanted = -(-size // part)
    if len(top["parts"]) != wanted or wanted > MOST_PARTS:
        reader.fault("parts", len(top["parts"]), f"{wanted} digests, one a part, at most {MOST_PARTS}")
