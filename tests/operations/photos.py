"""Photos as a tablet would announce and send them."""

import hashlib
import io
from uuid import UUID, uuid5

from PIL import Image

from opsrisk.assessment.record import canonical
from opsrisk.operations.models import Photo
from opsrisk.operations.photo_actions import announce_photo, receive_part
from tests.cast import NAMES
from tests.operations.sending import ASSESSED, RECEIVED

PART = 1024
PLACE = "53.5511 N 9.9937 E of the north steps"  # what a camera writes besides the picture


def jpeg(wide=60, high=40, colour="navy", tail=b""):
    """A small photo with a place in its Exif block; `tail` makes another file of the same picture."""
    exif = Image.Exif()
    exif[0x010E] = PLACE
    out = io.BytesIO()
    Image.new("RGB", (wide, high), colour).save(out, "JPEG", exif=exif)
    return out.getvalue() + tail


def five_parts():
    data = jpeg()
    return data + bytes(index % 251 for index in range(5 * PART - 100 - len(data)))


def cut(data, part=PART):
    return [data[start : start + part] for start in range(0, len(data), part)]


def sha(data):
    return hashlib.sha256(data).hexdigest()


def manifest(person, operation, data, number=1, part=PART, **changes):
    named = {"id": str(operation.pk), "title": operation.title, "site": None, "place": operation.place}
    made = {
        "format": "opsrisk.photo/1",
        "id": str(uuid5(NAMES, f"photo {number}")),
        "operation": named,
        "record": None,
        "caption": "The gauge at the weir",
        "taken_at": ASSESSED.isoformat(),
        "by": str(person.pk),
        "size": len(data),
        "sha256": sha(data),
        "part_bytes": part,
        "parts": [sha(one) for one in cut(data, part)],
        "device": {"id": "tablet 1", "client_version": "2", "offset_s": 0},
    }
    return made | changes


def named(made):
    """The photo as a record names it."""
    return {name: made[name] for name in ("id", "sha256", "caption", "taken_at")}


def announce(person, made, at=RECEIVED):
    return announce_photo(body=canonical(made), by=person, at=at)


def send_parts(person, made, data, numbers=None, at=RECEIVED):
    """The last answer."""
    parts = cut(data, made["part_bytes"])
    answer = None
    for number in numbers if numbers is not None else range(len(parts)):
        answer = receive_part(photo=UUID(made["id"]), number=number, data=parts[number], by=person, at=at)
    return answer


def whole_photo(cast, operation, number=1, data=None, at=RECEIVED):
    """One stored photo, through the one way in."""
    data = data or jpeg()
    made = manifest(cast.supervisor, operation, data, number)
    announce(cast.supervisor, made, at)
    send_parts(cast.supervisor, made, data, at=at)
    return Photo.objects.get(pk=made["id"])
