"""A dive as the page tells it."""

from datetime import timedelta

from opsrisk.records.dive_actions import Told, keep_dive
from tests.operations.sending import ASSESSED, RECEIVED

TOLD = {
    "guest": "", "in_charge": "Ines Varga", "team": "Supervisor: Ines Varga\nDiver: Mara Quill", "place": "North steps",
    "in_at": ASSESSED + timedelta(minutes=10), "out_at": ASSESSED + timedelta(minutes=34), "mode": "surface_supplied",
    "mode_words": "", "work": "Line search along the ledge", "from_record": "", "conditions_words": "Silt, about 2 ft",
    "max_depth": "17", "depth_unit": "ft", "bottom_minutes": "20", "decompression": "no", "injury": "no", "incidents": "",
}  # fmt: skip
FORM = {name: value for name, value in TOLD.items() if name != "depth_unit"} | {
    "in_at": "2026-06-01T14:10", "out_at": "2026-06-01T14:34",
}  # fmt: skip
REASON = "The gauge was read again with the diver."


def told_of(diver=None, **changes):
    return Told(**(TOLD | {"diver": diver.pk if diver else None} | changes))


def kept(crew, operation, *, by=None, replaces=None, at=RECEIVED, diver=None, **changes):
    told = told_of(None if changes.get("guest") else diver or crew.diver, **changes)
    return keep_dive(operation=operation, told=told, replaces=replaces, by=by or crew.supervisor, at=at)
