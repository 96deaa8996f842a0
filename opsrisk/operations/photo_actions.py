"""The one way in for a photo: announced, then its parts in any order and again, then whole, checked and countersigned.

Parts are carriage, like the keys of receipts: what is done to a photo is announced, received, refused, given out, and
each of those has its entry in the ledger.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.db.models import Sum

from opsrisk import files
from opsrisk.agencies.entries import enter
from opsrisk.agencies.models import Agency, Person
from opsrisk.agencies.permissions import NotAllowed, require
from opsrisk.agencies.refusals import Refused
from opsrisk.operations.countersigned import photo_receipt
from opsrisk.operations.models import Assessment, Operation, Photo, PhotoPart
from opsrisk.operations.opened import open_operation
from opsrisk.operations.photo_manifest import Manifest, read_manifest
from opsrisk.operations.pictures import shown_copy
from opsrisk.operations.receipts import KeyReused


class SendAgain(Refused):
    """This part was not what was announced: cut short or altered on its way."""


class NotAnnounced(Refused):
    """A part of a photo that this person has not announced."""


class NoSuchPhoto(NotAnnounced):
    """None of this number in the agency."""


@dataclass(frozen=True)
class PhotoState:
    """What the server has of a photo: the numbers of its parts, and the receipt once it is whole."""

    id: UUID
    have: Sequence[int]
    receipt: str  # "" before

    def document(self) -> dict[str, Any]:
        receipt = json.loads(self.receipt) if self.receipt else None
        return {"id": str(self.id), "have": list(self.have), "receipt": receipt}


@transaction.atomic
def announce_photo(*, body: bytes, by: Person, at: datetime) -> PhotoState:
    """Takes the manifest once and says which parts are here. Raises Refused or KeyReused.

    A photo that was refused may be announced again, and is then sent anew.
    """
    require(by, "send_photo")
    if by.agency_id is None:
        raise NotAllowed("send_photo: only people of an agency")
    manifest = read_manifest(body)
    if manifest.by != by.pk:
        raise Refused(("by", manifest.by, f"the person who sends it, {by.pk}"))
    kind, called = Operation.Kind.UNKNOWN, manifest.taken_at
    operation = open_operation(manifest.operation, kind=kind, called_at=called, by=by, at=at, field="operation")
    stored = Photo.objects.select_for_update().filter(pk=manifest.id).first()
    if stored is None:
        _check_named(manifest, operation)
        _check_room(manifest, by.agency_id)
        stored = _announce(manifest, operation, by, at)
    elif stored.digest != manifest.digest:
        raise KeyReused(("id", manifest.id, "a new id: this one belongs to another photo"))
    elif stored.state == Photo.State.REFUSED:
        _check_room(manifest, by.agency_id)
        stored.state, stored.reason = Photo.State.ANNOUNCED, ""
        stored.save(update_fields=["state", "reason"])
        _enter(stored, "announce_photo", by, at)
    return _state(stored)


def receive_part(*, photo: UUID, number: int, data: bytes, by: Person, at: datetime) -> PhotoState:
    """Keeps a part; with the last one the photo is put together, checked, stored and countersigned.

    Raises NotAnnounced, SendAgain, or Refused for a photo that cannot be taken at all.
    """
    require(by, "send_photo")
    state, manifest = _keep_part(photo, number, data, by)
    if state.receipt or len(state.have) < len(manifest.parts):
        return state
    # Decoding takes a moment, in which nothing of the database is held.
    found = Photo.objects.get(pk=photo)
    whole = b"".join(bytes(one) for one in found.parts.order_by("number").values_list("data", flat=True))
    try:
        _check_whole(whole, manifest)
        shown = shown_copy(whole)
    except Refused as refused:
        return _refused(found, refused, by, at)
    return _receive(found, manifest, (_kept(found, whole, "original"), _kept(found, shown, "jpg")), by, at)


@transaction.atomic
def give_original(*, photo: Photo, by: Person, at: datetime) -> bytes:
    """The file as the camera wrote it, for who may have it; that it was given is in the log. Raises NotAllowed."""
    if by.agency_id != photo.operation.agency_id:
        raise NotAllowed("another agency's photo is not yours to read")
    require(by, "read_originals")
    data = files.unchanged(photo.original, photo.sha256)
    if data is None:
        given = "a file that was altered on the server, or is missing there"
        raise Refused(("photo", given, f"the file with SHA-256 {photo.sha256}"))
    _enter(photo, "give_original", by, at)
    return data


def _kept(photo: Photo, data: bytes, kind: str) -> str:
    """Where the file of this kind now lies; the same file again is the same path."""
    path = f"photos/{photo.operation.agency_id}/{photo.pk}-{photo.sha256[:16]}.{kind}"
    files.keep(path, data)
    return path


def manifest_of(photo: Photo) -> Manifest:
    return read_manifest(photo.manifest.encode())


def _announce(manifest: Manifest, operation: Operation, by: Person, at: datetime) -> Photo:
    made = Photo(
        id=manifest.id, operation=operation, manifest=manifest.text, digest=manifest.digest, sha256=manifest.sha256,
        size=manifest.size, caption=manifest.caption, taken_at=manifest.taken_at, sent_by=by, announced_at=at,
    )  # fmt: skip
    made.save(force_insert=True)
    _enter(made, "announce_photo", by, at)
    return made


def _check_named(manifest: Manifest, operation: Operation) -> None:
    """What a signed record names can be sent as it was named, and as nothing else."""
    sent = {"id": str(manifest.id), "sha256": manifest.sha256, "caption": manifest.caption}
    sent["taken_at"] = manifest.document["taken_at"]
    named = Assessment.objects.filter(operation=operation, record__contains=str(manifest.id))
    for text in named.values_list("record", flat=True):
        for one in json.loads(text).get("photos", []):
            if one["id"] == sent["id"] and one != sent:
                raise Refused(("photo", f"SHA-256 {manifest.sha256}", f"the photo that was signed: {one}"))


def _check_room(manifest: Manifest, agency_id: UUID) -> None:
    """The agency's row is the lock of its room: two photos announced at once are not both let into what one fills."""
    Agency.objects.select_for_update(no_key=True).get(pk=agency_id)
    kept = Photo.objects.filter(operation__agency=agency_id).exclude(state=Photo.State.REFUSED)
    used = kept.aggregate(Sum("size"))["size__sum"] or 0
    if used + manifest.size > settings.PHOTOS_BYTES:
        room = f"{settings.PHOTOS_BYTES} bytes of photos for the whole agency: ask who looks after the server"
        raise Refused(("size", f"{manifest.size} bytes on top of {used}", room))


@transaction.atomic
def _keep_part(pk: UUID, number: int, data: bytes, by: Person) -> tuple[PhotoState, Manifest]:
    stored = Photo.objects.for_person(by).select_for_update().filter(pk=pk).first()
    if stored is None:
        raise NoSuchPhoto(("photo", pk, "a photo of your agency: send its manifest first"))
    if stored.sent_by_id != by.pk or stored.state == Photo.State.REFUSED:
        raise NotAnnounced(("photo", pk, "a photo that you announced: send its manifest first"))
    manifest = manifest_of(stored)
    if stored.receipt:
        return _state(stored), manifest
    if not 0 <= number < len(manifest.parts):
        raise NotAnnounced(("part", number, f"0 to {len(manifest.parts) - 1}"))
    if len(data) != manifest.length(number) or hashlib.sha256(data).hexdigest() != manifest.parts[number]:
        raise SendAgain(("part", f"{len(data)} bytes", f"{manifest.length(number)} bytes with the announced SHA-256"))
    PhotoPart.objects.get_or_create(photo=stored, number=number, defaults={"data": data})
    return _state(stored), manifest


def _state(photo: Photo) -> PhotoState:
    have = list(range(len(manifest_of(photo).parts))) if photo.receipt else _numbers(photo)
    return PhotoState(photo.pk, have, photo.receipt)


def _numbers(photo: Photo) -> list[int]:
    return list(photo.parts.order_by("number").values_list("number", flat=True))


def _check_whole(data: bytes, manifest: Manifest) -> None:
    if hashlib.sha256(data).hexdigest() != manifest.sha256:
        raise Refused(("sha256", manifest.sha256, "the SHA-256 of all parts together"))


@transaction.atomic
def _receive(photo: Photo, manifest: Manifest, paths: tuple[str, str], by: Person, at: datetime) -> PhotoState:
    """Once: whoever comes second gets the receipt of the first."""
    photo = Photo.objects.select_for_update().get(pk=photo.pk)
    if not photo.receipt:
        entry = _enter(photo, "receive_photo", by, at)
        photo.receipt = photo_receipt(
            photo=str(photo.pk), manifest=photo.digest, sha256=photo.sha256, parts=manifest.parts, at=at, entry=entry
        )
        photo.state, photo.received_at = Photo.State.RECEIVED, at
        photo.original, photo.shown = paths
        photo.save()
        photo.parts.all().delete()
    return _state(photo)


def _refused(photo: Photo, refused: Refused, by: Person, at: datetime) -> PhotoState:
    """Said in the log and to who sent it; its parts are thrown away."""
    with transaction.atomic():
        photo = Photo.objects.select_for_update().get(pk=photo.pk)
        if photo.receipt:
            return _state(photo)  # somebody sent the last part too, and was first: the parts are gone already
        if photo.state == Photo.State.ANNOUNCED:
            photo.state, photo.reason = Photo.State.REFUSED, str(refused)
            photo.save(update_fields=["state", "reason"])
            photo.parts.all().delete()
            _enter(photo, "refuse_photo", by, at)
    raise refused


def _enter(photo: Photo, verb: str, by: Person, at: datetime) -> int:
    detail = {
        "operation": str(photo.operation_id),
        "manifest": photo.digest,
        "sha256": photo.sha256,
        "size": photo.size,
    }
    return enter(by=by, at=at, agency_id=by.agency_id, verb=verb, subject=photo, detail=detail).index
