"""Situation documents that are wrong in one way each, as bytes: made from the readable base, one fault at a time."""

import json
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

from opsrisk.assessment.fields import SHAPE, Choice, Group, Measure, Number, People, Text, Texts, Time
from tests.situations import NOW, document

BASE = document("drowning", "working", **{
    "site.altitude": "100 m", "dive.gas.pressure": "200 bar", "dive.gas.cylinder_volume": "12 L", "dive.gas.reserve": "50 bar",
})  # fmt: skip
LATER = (NOW + timedelta(minutes=6)).isoformat()
TOMORROW = (NOW + timedelta(days=2)).isoformat()
ADA: dict[str, Any] = {"id": "ada"}

# Put in the place of a number: read as JSON, none of it is a number that somebody measured.
NO_NUMBERS = (
    '"eight"', '"0,8"', '"0.8 kn"', '" 0.8"', '"0.8 "', '"1e1"', '"0x1"', '"+0.8"', '".8"', '"8."', '"1..2"', '"--1"',
    '"½"', '"٠٫٨"', '"１"', '"NaN"', '"Infinity"', '"∞"', '""', "null", "true", "false", "[]", "[0.8]", "{}",
    "1e400", "-1e400", "1e-400", "1e13", "1.0000000000001", "12345678901234", '"' + "9" * 40 + '"', "9" * 40, "0." + "3" * 40,
    "1E999999999999999999999", '"0.8\\u0000"', '"0.8\\n"',
)  # fmt: skip
# Not JSON at all, however lenient the reader.
NO_JSON = (
    "NaN",
    "Infinity",
    "-Infinity",
    "nan",
    "08",
    "0.8.1",
    "+1",
    ".5",
    "0x10",
    "1_000",
    "'0.8'",
    "undefined",
    "08kn",
)
NO_TIMES = (
    "10:00", "2026-06-12", "2026-06-12T10:00:00", "2026-06-12 10:00:00+00:00", "2026-06-12T10:00:00 UTC", "12.06.2026 10:00",
    "2026-13-01T10:00:00+00:00", "2026-02-30T10:00:00+00:00", "2026-06-12T24:00:00+00:00", "2026-06-12T10:00:60+00:00",
    "2026-W24-5T10:00:00+00:00", "20260612T100000Z", "2026-06-12T10:00:00+25:00", "2026-06-12T10:00:00+0000", "2026-06-12T10:00:00+00:00:30",
    "0001-01-01T00:00:00+00:00", "9999-12-31T23:59:59+00:00", "now", "1781258400", "", "2026-06-12T10:00:00Z\n",
    "２０２６-06-12T10:00:00Z",
)  # fmt: skip


def put(path: str, value: Any) -> dict[str, Any]:
    """BASE with `value` at the dotted path."""
    made = json.loads(json.dumps(BASE))
    *above, last = path.split(".")
    found = made
    for name in above:
        found = found.setdefault(name, {})
        if not isinstance(found, dict):
            raise KeyError(path)
    found[last] = value
    return made


def written(path: str, literal: str) -> bytes:
    """BASE as JSON with `literal`, as it stands, at the dotted path."""
    return json.dumps(put(path, "@@")).replace('"@@"', literal).encode()


def corpus() -> dict[str, bytes]:
    """Every malformed document by a name that says what is wrong."""
    return dict([*_whole(), *_numbers(), *_fields(), *_times(), *_people(), *_bounds()])


def _whole() -> Iterator[tuple[str, bytes]]:
    text = json.dumps(BASE)
    yield from {
        "nothing": b"", "a space": b" ", "null": b"null", "true": b"true", "a number": b"1", "a word": b'"hold"',
        "an empty object": b"{}", "an empty list": b"[]", "a list of one situation": f"[{text}]".encode(),
        "cut off": text[:-10].encode(), "two documents": (text + text).encode(), "a comma too many": text[:-1].encode() + b",}",
        "a comment": b"// sizing up\n" + text.encode(), "single quotes": text.replace('"', "'").encode(),
        "a byte order mark": b"\xef\xbb\xbf" + text.encode(), "UTF-16": text.encode("utf-16"), "no UTF-8": b'{"format": "\xff"}',
        "zero bytes": b"\0" * 100, "ten megabytes of spaces": text.encode() + b" " * 10_000_000,
        "ten megabytes of text": json.dumps(put("site.window_source", "a" * 10_000_000)).encode(),
        "nested lists": b"[" * 900, "nested lists, closed": b"[" * 900 + b"]" * 900, "nested without end": b"[" * 100_000,
        "nested objects": b'{"task":' * 500 + b"1" + b"}" * 500, "ten thousand objects": b"[" + b"{}," * 10_000 + b"{}]",
        "a control character in a text": text.replace("rescue", "res\x01cue").encode(),
        "a lone surrogate as a name": b'{"\\ud800": 1}', "a lone surrogate as a value": b'{"format": "\\ud800"}',
        "a name with a line break": b'{"wind\\nspeed": 1}', "a name with escape codes": b'{"\\u001b[2J": 1}',
        "an endless name": json.dumps({"x" * 100_000: 1}).encode(), "XML": b"<situation/>", "no quotes": b"{format: 1}",
        "a name twice": text[:-1].encode() + b', "format": "opsrisk.situation/1"}',
        "a reading twice": text.replace('"readings": {', '"readings": {"current": "unknown", ').encode(),
        "a value twice": text.replace('"value": "0.1"', '"value": "0.1", "value": "0.2"').encode(),
        "no format": json.dumps({k: v for k, v in BASE.items() if k != "format"}).encode(),
        "no time": json.dumps({k: v for k, v in BASE.items() if k != "assessed_at"}).encode(),
        "another format": json.dumps(put("format", "opsrisk.situation/2")).encode(),
        "the format unknown": json.dumps(put("format", "unknown")).encode(),
    }.items()  # fmt: skip


def _numbers() -> Iterator[tuple[str, bytes]]:
    for literal in NO_NUMBERS:
        yield f"current of {literal[:30]}", written("readings.current.value", literal)
    for literal in NO_JSON:
        yield f"depth of {literal}, which is no JSON", written("readings.depth.value", literal)
    for literal in ('"north"', "91", "-91", "true", "1e9"):
        yield f"latitude of {literal}", written("site.latitude", literal)
    for literal in ('"east"', "180.1", '"-180.01"', "[]"):
        yield f"longitude of {literal}", written("site.longitude", literal)


def _fields(shape: Group = SHAPE, path: str = "") -> Iterator[tuple[str, bytes]]:
    """For every field of the table: a wrong type, a wrong word or unit, a name that does not exist."""
    yield (
        f"an unknown name in {path or 'the document'}",
        json.dumps(put(f"{path}.weather".lstrip("."), "fine")).encode(),
    )
    for name, below in shape.fields.items():
        field = f"{path}.{name}" if path else name
        if isinstance(below, Group):
            yield f"{field} is a list", json.dumps(put(field, [])).encode()
            yield from _fields(below, field)
        elif isinstance(below, Choice):
            yield f"{field} is a word nobody knows", json.dumps(put(field, "rather")).encode()
            yield f"{field} is true", json.dumps(put(field, True)).encode()
        elif isinstance(below, Measure):
            yield f"{field} in furlongs", json.dumps(put(field, {"value": "1", "unit": "furlong"})).encode()
            yield f"{field} without a unit", json.dumps(put(field, {"value": "1"})).encode()
            yield f"{field} is a bare number", json.dumps(put(field, 1)).encode()
            too_much = {"value": "999999999", "unit": below.units[0]}
            yield f"{field} is impossibly large", json.dumps(put(field, too_much)).encode()
        elif isinstance(below, People | Texts):
            yield f"{field} is an object", json.dumps(put(field, {"ada": "here"})).encode()
        else:
            assert isinstance(below, Number | Text | Time)
            yield f"{field} is a list", json.dumps(put(field, ["x"])).encode()


def _times() -> Iterator[tuple[str, bytes]]:
    for time in NO_TIMES:
        yield f"assessed at {time!r}", json.dumps(put("assessed_at", time)).encode()
    yield "assessed at an unknown time", json.dumps(put("assessed_at", "unknown")).encode()
    yield "assessed at a number", json.dumps(put("assessed_at", 1781258400)).encode()
    yield "went under in the future", json.dumps(put("task.submerged_at", LATER)).encode()
    yield "a current from the future", json.dumps(put("readings.current.at", LATER)).encode()
    yield "a bottom time from the future", json.dumps(put("dive.bottom_time.at", LATER)).encode()
    yield "a depth rating from the future", json.dumps(put("vehicle.depth_rating.at", TOMORROW)).encode()
    yield "a drive to care from the future", json.dumps(put("support.care_minutes.at", LATER)).encode()
    yield (
        "an unknown depth from the future",
        json.dumps(put("readings.depth", {"value": "unknown", "unit": "ft", "at": LATER})).encode(),
    )
    yield "a reading without an offset", json.dumps(put("readings.current.at", "2026-06-12T09:50:00")).encode()


def _people() -> Iterator[tuple[str, bytes]]:
    wrong = {
        "somebody without an id": [{"name": "Ada"}], "somebody twice": [ADA, ADA], "a name instead of a person": ["ada"],
        "an empty id": [{"id": ""}], "an id that means nobody": [{"id": "unknown"}], "an id that is a number": [{"id": 7}],
        "awake for ever": [ADA | {"hours_awake": "241"}], "awake for less than nothing": [ADA | {"hours_awake": "-1"}],
        "twenty-one dives": [ADA | {"dives_24h": "21"}], "fit is maybe": [ADA | {"fit": "maybe"}],
        "a qualification that is no list": [ADA | {"qualifications": "diver"}],
        "a qualification that is no word": [ADA | {"qualifications": [1]}],
        "a qualification with half a letter": [ADA | {"qualifications": ["\ud800"]}],
        "a qualification with a line break": [ADA | {"qualifications": ["diver\nsupervisor"]}],
        "two hundred and one people": [{"id": str(n)} for n in range(201)],
    }  # fmt: skip
    for name, people in wrong.items():
        yield name, json.dumps(put("people", people)).encode()
    yield "a person with an endless name", json.dumps(put("positions.diver.person", "a" * 81)).encode()
    yield "a person with a bell in the name", json.dumps(put("positions.diver.person", "a\x07")).encode()


def _bounds() -> Iterator[tuple[str, bytes]]:
    wrong = {
        "negative depth": ("readings.depth", {"value": "-1", "unit": "ft"}),
        "negative current": ("readings.current", {"value": -0.1, "unit": "kn"}),
        "water at 60 C": ("readings.water_temperature", {"value": "60", "unit": "C"}),
        "water at 60 C, in Fahrenheit": ("readings.water_temperature", {"value": "140", "unit": "F"}),
        "colder than the sea gets": ("readings.water_temperature", {"value": "-3", "unit": "C"}),
        "colder than nothing": ("readings.air_temperature", {"value": "-300", "unit": "C"}),
        "low over the value": ("readings.current", {"value": "1", "low": "2", "unit": "kn"}),
        "high under the value": ("readings.current", {"value": "1", "high": "0.5", "unit": "kn"}),
        "low and high exchanged": ("readings.current", {"value": "1", "low": "2", "high": "0.5", "unit": "kn"}),
        "a bound that is impossible": ("readings.visibility", {"value": "1", "low": "-1", "unit": "ft"}),
        "an unknown bound": ("readings.visibility", {"value": "1", "low": "unknown", "unit": "ft"}),
        "a guessed reading": ("readings.visibility", {"value": "1", "unit": "ft", "how": "guessed"}),
        "unknown without a unit": ("readings.visibility", {"value": "unknown"}),
        "a unit of another kind": ("readings.current", {"value": "1", "unit": "ft"}),
        "feet of sea water for visibility": ("readings.visibility", {"value": "1", "unit": "fsw"}),
        "an unknown unit": ("readings.current", {"value": "1", "unit": "unknown"}),
        "a unit in capitals": ("readings.current", {"value": "1", "unit": "KN"}),
        "by a list": ("readings.current", {"value": "1", "unit": "kn", "by": ["ada"]}),
    }
    for name, (path, value) in wrong.items():
        yield name, json.dumps(put(path, value)).encode()
