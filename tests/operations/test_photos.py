"""A photo arrives whole and once, whatever happens to its parts, and what is shown of it is the picture alone."""

import io
import json
import random
from pathlib import Path
from uuid import UUID

import pytest
from django.conf import settings
from django.db import IntegrityError, transaction
from PIL import Image

from opsrisk.agencies.permissions import NotAllowed
from opsrisk.agencies.refusals import Refused
from opsrisk.assessment.record import canonical
from opsrisk.files import read
from opsrisk.ledger.models import Entry
from opsrisk.operations.countersigned import receipt_holds
from opsrisk.operations.models import Operation, Photo, PhotoPart
from opsrisk.operations.photo_actions import (
    NoSuchPhoto,
    NotAnnounced,
    SendAgain,
    announce_photo,
    give_original,
    receive_part,
)
from opsrisk.operations.photos_shown import MISSING, OTHER, of_assessment, photos_of
from opsrisk.operations.receipts import KeyReused
from tests.operations.photos import (
    PLACE,
    announce,
    cut,
    five_parts,
    jpeg,
    manifest,
    named,
    send_parts,
    sha,
    whole_photo,
)
from tests.operations.sending import RECEIVED, received, send, signed


@pytest.fixture
def operation(crew):
    return received(crew).operation


def verbs(photo):
    return list(Entry.objects.filter(subject_id=str(photo)).order_by("index").values_list("verb", flat=True))


def test_parts_in_any_order_and_again_make_one_photo(crew, operation):
    """Twenty orders with repetitions: whole at the last missing part, one receipt that names every digest, one entry."""
    rng = random.Random(3)
    for number in range(20):
        data = five_parts() + bytes([number])
        made = manifest(crew.supervisor, operation, data, number)
        count = len(cut(data))
        order = list(range(count)) + [rng.randrange(count) for _ in range(6)]
        rng.shuffle(order)
        announce(crew.supervisor, made)
        answers = [send_parts(crew.supervisor, made, data, [one]) for one in order]
        first = next(place for place in range(len(order)) if set(order[: place + 1]) == set(range(count)))
        assert [bool(one.receipt) for one in answers] == [False] * first + [True] * (len(order) - first)
        receipt = json.loads(answers[-1].receipt)
        assert receipt_holds(receipt)
        assert (receipt["sha256"], receipt["parts"]) == (made["sha256"], made["parts"])
        assert verbs(made["id"]) == ["announce_photo", "receive_photo"]
        assert read(Photo.objects.get(pk=made["id"]).original) == data
    assert Photo.objects.count() == 20
    assert PhotoPart.objects.count() == 0


def test_a_receipt_with_another_digest_does_not_hold(crew, operation):
    """The countersignature is over every digest."""
    receipt = json.loads(whole_photo(crew, operation).receipt)
    assert receipt_holds(receipt)
    for name, value in (("sha256", "0" * 64), ("parts", ["0" * 64]), ("id", "x"), ("manifest", "0" * 64)):
        assert not receipt_holds(receipt | {name: value})


def test_a_part_that_was_cut_or_altered_is_asked_for_again(crew, operation):
    """Every length short of the whole, and a changed byte: nothing is kept of it."""
    data = five_parts()
    made = manifest(crew.supervisor, operation, data)
    announce(crew.supervisor, made)
    part = cut(data)[1]
    for wrong in [part[:length] for length in range(0, len(part), 37)] + [part[:-1] + b"x", part + b"x"]:
        with pytest.raises(SendAgain, match="1024 bytes with the announced SHA-256"):
            receive_part(photo=UUID(made["id"]), number=1, data=wrong, by=crew.supervisor, at=RECEIVED)
    assert PhotoPart.objects.count() == 0


def test_what_is_shown_is_the_picture_alone(crew, operation):
    """No Exif, no place, at most 1600 px; the original stays as it came, byte for byte."""
    data = jpeg(2400, 1200)
    photo = whole_photo(crew, operation, data=data)
    shown = read(photo.shown)
    with Image.open(io.BytesIO(shown)) as image:
        assert (image.format, image.size, dict(image.getexif())) == ("JPEG", (1600, 800), {})
    assert PLACE.encode() in data and PLACE.encode() not in shown
    assert sha(read(photo.original)) == photo.sha256


def test_only_who_may_gets_the_original_and_the_log_says_so(crew, operation):
    """The chief does; a supervisor, a diver and the neighbour's chief do not; an altered file is not handed out."""
    photo = whole_photo(crew, operation)
    for person in (crew.supervisor, crew.diver, crew.neighbour_chief):
        with pytest.raises(NotAllowed):
            give_original(photo=photo, by=person, at=RECEIVED)
    assert give_original(photo=photo, by=crew.chief, at=RECEIVED) == jpeg()
    assert verbs(photo.pk)[-1] == "give_original"
    photo.refresh_from_db()
    file = Path(settings.FILES) / photo.original
    assert sha(file.read_bytes()) == photo.sha256
    file.write_bytes(b"altered")
    with pytest.raises(Refused, match="altered on the server"):
        give_original(photo=photo, by=crew.chief, at=RECEIVED)


def test_nobody_sends_for_somebody_else(crew, operation):
    """Announced by one, a part by another: refused; a manifest in another's name too."""
    data = jpeg()
    made = manifest(crew.supervisor, operation, data)
    with pytest.raises(Refused, match="the person who sends it"):
        announce(crew.deputy, made)
    announce(crew.supervisor, made)
    with pytest.raises(NotAnnounced):
        send_parts(crew.deputy, made, data)
    with pytest.raises(NoSuchPhoto):
        send_parts(crew.neighbour_supervisor, made, data)
    with pytest.raises(Refused, match="operation"):
        announce(crew.neighbour_supervisor, made | {"by": str(crew.neighbour_supervisor.pk)})


def test_the_same_id_for_another_photo_is_refused(crew, operation):
    """A number belongs to one manifest for ever."""
    announce(crew.supervisor, manifest(crew.supervisor, operation, jpeg()))
    with pytest.raises(KeyReused):
        announce(crew.supervisor, manifest(crew.supervisor, operation, jpeg(tail=b"x")))


def test_a_signed_record_names_its_photos(crew, operation):
    """Missing until all of it is here, then shown; neither its file, caption nor time can be another's."""
    data = jpeg(colour="teal")
    made = manifest(crew.supervisor, operation, data, 7)
    row = received(crew, number=2, revision=2, previous=operation.assessments.get().digest, photos=[named(made)])
    record = json.loads(row.record)
    assert [one.missing for one in of_assessment(row, record)] == [MISSING]
    for other in (
        manifest(crew.supervisor, operation, jpeg(tail=b"swapped"), 7),
        made | {"caption": "Another place"},
        made | {"taken_at": "2026-06-01T01:00:00+00:00"},
    ):
        with pytest.raises(Refused, match="the photo that was signed"):
            announce(crew.supervisor, other)
    announce(crew.supervisor, made)
    send_parts(crew.supervisor, made, data)
    assert [one.missing for one in of_assessment(row, record)] == [""]
    wrong = {"photos": [named(made) | {"sha256": "0" * 64}]}
    assert [one.missing for one in of_assessment(row, wrong)] == [OTHER]
    assert [one.named_by for one in photos_of(operation)] == ["revision 2"]


@pytest.mark.parametrize(
    "photos",
    [[{"id": "x", "sha256": "0" * 64, "caption": "a", "taken_at": "2026-06-01T01:00:00+00:00"}], ["x"], [{}]],
)
def test_a_record_that_names_no_real_photo_is_refused(crew, photos):
    """The field is named."""
    with pytest.raises(Refused, match=r"record\.photos\[0\]"):
        send(crew, signed(crew, photos=photos))


def test_a_photo_named_twice_is_refused(crew, operation):
    """One number, one photo."""
    one = named(manifest(crew.supervisor, operation, jpeg()))
    with pytest.raises(Refused, match="each once"):
        send(crew, signed(crew, number=2, photos=[one, one]), key="k2")


def test_a_photo_may_open_its_operation(crew):
    """Whatever arrives first opens it, as a line of the log does."""
    other = Operation(pk=UUID(int=7), title="Search", place="Weir")
    announce(crew.diver, manifest(crew.diver, other, jpeg()))
    assert Operation.objects.get(pk=other.pk).agency == crew.agency


def test_the_agencys_room_is_counted(crew, operation, settings):
    """Words, and nothing kept."""
    settings.PHOTOS_BYTES = len(jpeg()) + 10
    whole_photo(crew, operation)
    with pytest.raises(Refused, match="for the whole agency"):
        announce(crew.supervisor, manifest(crew.supervisor, operation, jpeg(), 2))
    assert Photo.objects.count() == 1


def test_a_refused_photo_announced_again_needs_room_too(crew, operation, settings):
    """It took none while it was refused, and others came meanwhile."""
    data = jpeg()
    made = manifest(crew.supervisor, operation, data, sha256="0" * 64)
    announce(crew.supervisor, made)
    with pytest.raises(Refused, match="all parts together"):
        send_parts(crew.supervisor, made, data)
    whole_photo(crew, operation, 2)
    settings.PHOTOS_BYTES = len(data) + 10
    with pytest.raises(Refused, match="for the whole agency"):
        announce(crew.supervisor, made)
    assert Photo.objects.get(pk=made["id"]).state == "refused"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"size": 21 * 1024 * 1024}, "take the photo again with fewer pixels"),
        ({"size": 0}, "1 to"),
        ({"part_bytes": 1}, "1024 to 262144 bytes"),
        ({"parts": []}, "one a part"),
        ({"parts": ["x"]}, "hexadecimal"),
        ({"caption": ""}, "1 to 200 characters"),
        ({"caption": "x" * 201}, "1 to 200 characters"),
        ({"format": "opsrisk.photo/9"}, "opsrisk.photo/1"),
        ({"taken_at": "yesterday"}, "ISO 8601"),
        ({"name": "../../etc/passwd"}, "no field of this name"),
        ({"id": "../../x"}, "a UUID"),
    ],
)
def test_a_bad_manifest_is_refused_in_words(crew, operation, change, words):
    """The field, what was given, what is accepted."""
    with pytest.raises(Refused, match=words):
        announce(crew.supervisor, manifest(crew.supervisor, operation, jpeg()) | change)


def test_a_whole_that_is_not_what_was_announced_is_refused(crew, operation):
    """Each part as announced, the whole not: refused in words, its parts gone, and it may be announced again."""
    data = five_parts()
    made = manifest(crew.supervisor, operation, data, sha256="0" * 64)
    announce(crew.supervisor, made)
    with pytest.raises(Refused, match="all parts together"):
        send_parts(crew.supervisor, made, data)
    photo = Photo.objects.get()
    assert (photo.state, PhotoPart.objects.count()) == ("refused", 0)
    assert verbs(photo.pk) == ["announce_photo", "refuse_photo"]
    assert photos_of(operation)[0].missing.startswith("MISSING: refused, ")
    with pytest.raises(NotAnnounced):
        send_parts(crew.supervisor, made, data, [0])
    assert announce(crew.supervisor, made).have == []


def test_a_received_photo_is_never_changed_or_deleted(crew, operation):
    """The database itself refuses."""
    photo = whole_photo(crew, operation)
    with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
        Photo.objects.filter(pk=photo.pk).update(caption="other")
    with pytest.raises(IntegrityError, match="never deleted"), transaction.atomic():
        photo.delete()


def test_a_failed_log_takes_the_photo_back(crew, operation, monkeypatch):
    """No entry, no photo: the parts stay, and the next sending finishes it."""
    data = jpeg()
    made = manifest(crew.supervisor, operation, data)
    announce(crew.supervisor, made)

    def broken(**_):
        raise RuntimeError("no log")

    with monkeypatch.context() as patch:
        patch.setattr("opsrisk.operations.photo_actions.enter", broken)
        with pytest.raises(RuntimeError):
            send_parts(crew.supervisor, made, data)
    assert Photo.objects.get().receipt == ""
    assert send_parts(crew.supervisor, made, data, [0]).receipt


def test_a_member_may_send_and_nobody_without_an_agency(crew, operation):
    """Whoever holds a tablet at the water."""
    announce(crew.diver, manifest(crew.diver, operation, jpeg()))
    with pytest.raises(NotAllowed):
        announce_photo(body=canonical(manifest(crew.installer, operation, jpeg(), 2)), by=crew.installer, at=RECEIVED)
