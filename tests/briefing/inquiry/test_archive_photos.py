"""Photos in the archive of an operation: the originals, and a list that tells what is missing."""

import hashlib
import json

from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.inquiry.photos import attached, known
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.operations.photos_shown import photos_of
from tests.operations import sending
from tests.operations.photos import PLACE, announce, jpeg, manifest, named, whole_photo


def test_originals_and_what_is_missing_are_in_the_archive(before, cast):
    """Byte for byte as the camera wrote them, with their entries in the log; the archive still verifies."""
    data = jpeg()
    photo = whole_photo(cast, before.operation, data=data)
    announce(cast.supervisor, manifest(cast.supervisor, before.operation, jpeg(colour="teal"), 2, caption="Not sent"))
    made = archive(before.operation)
    files = verifier.unpacked(made)
    original = files[f"attachments/photo-{photo.pk}.original"]
    assert original == data and PLACE.encode() in original
    assert hashlib.sha256(original).hexdigest() == photo.sha256
    listed = json.loads(files["attachments/photos.json"])
    assert {one["caption"]: bool(one["missing"]) for one in listed} == {
        "The gauge at the weir": False,
        "Not sent": True,
    }
    assert b"receive_photo" in files["log/entries.jsonl"]
    found = verifier.verify("archive.zip", made, before.anchors())
    assert not [line for line in found.lines if line[0] == "DOES NOT HOLD"], found.lines
    assert archive(before.operation) == made


def test_an_operation_without_photos_has_no_list(before):
    """Nothing is said of what there is not."""
    assert attached(known(before.operation)) == ([], [])


def test_a_record_that_names_another_file_hides_no_photo_that_came(before, cast):
    """The number of a photo that is here, with another SHA-256: the original stays, the other is missing in words."""
    photo = whole_photo(cast, before.operation)
    wrong = named(manifest(cast.supervisor, before.operation, jpeg(tail=b"another")))
    assert wrong["id"] == str(photo.pk)
    sending.received(cast, number=90, revision=3, previous=before.second.digest, photos=[wrong])
    made = archive(before.operation)
    assert hashlib.sha256(verifier.unpacked(made)[f"attachments/photo-{photo.pk}.original"]).hexdigest() == photo.sha256
    found = verifier.verify("archive.zip", made, before.anchors())
    assert not found.of("DOES NOT HOLD"), found.lines
    (gone,) = found.of("not checked")
    assert "another file than the one that was named is here" in gone
    shown = {one.sha256: one.named_by for one in photos_of(before.operation)}
    assert shown == {photo.sha256: "nothing that was signed or logged", wrong["sha256"]: "revision 3"}
