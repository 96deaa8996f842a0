"""Photos in the archive of an operation: the originals, and a list that tells what is missing."""

import hashlib
import json

from opsrisk.briefing.inquiry.archive import archive
from opsrisk.briefing.inquiry.photos import photos
from opsrisk.briefing.verifier import verify_operation as verifier
from tests.operations.photos import PLACE, announce, jpeg, manifest, whole_photo


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
    assert photos(before.operation) == ([], [])
