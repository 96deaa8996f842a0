"""Reading what a tablet sends: a record and its signatures. Nothing is looked up, stored or repaired here."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from types import MappingProxyType
from typing import Any
from uuid import UUID

from opsrisk.agencies.refusals import LEAST_REASON, Refused
from opsrisk.assessment.record import NotCanonical, canonical, digest
from opsrisk.assessment.record_plan import plan_faults
from opsrisk.assessment.situation import Situation, SituationRefused, read_situation
from opsrisk.engine.inputs import DECISIONS

FORMAT = "opsrisk.record/1"
LARGEST_BYTES = 1024 * 1024
MOST_PARTS = 20_000  # objects and lists together: bounds how deep they nest
MOST_SIGNATURES = 60
YEARS = (1990, 2200)  # a clock outside is not wrong but unset, and near year 1 a zone cannot be subtracted
NEVER = datetime.max.replace(tzinfo=UTC)
MEANINGS = ("decided", "reviewed", "briefed", "overrode")
Errors = list[tuple[str, object, str]]


@dataclass(frozen=True)
class Record:
    """One record as signed; `document` is the whole of it, the rest is what the server looks up."""

    document: Mapping[str, Any]
    digest: str
    id: UUID
    operation: UUID
    title: str
    place: str
    site: UUID | None
    revision: int
    previous: str
    situation: Situation
    own_decision: str
    decision: Mapping[str, Any]
    plan: Mapping[str, Any] | None
    correction: str  # what was wrong with the previous revision; empty where things changed since
    merges: tuple[str, ...]  # digests of revisions signed apart that this one puts together with its previous one
    photos: tuple[Mapping[str, Any], ...]  # named with their digests, so that none is added or swapped afterwards
    chosen: str
    reason: str
    second: UUID | None
    made_at: datetime


@dataclass(frozen=True)
class Signed:
    """One signature as sent. The message that was signed is `message()`."""

    person: UUID
    name: str
    role: str
    meaning: str
    at: datetime
    at_text: str
    record: str
    public_key: str
    signature: str

    def document(self) -> dict[str, str]:
        """The signature as it was sent."""
        names = ("record", "name", "role", "meaning", "public_key", "signature")
        sent = {name: str(getattr(self, name)) for name in names}
        return sent | {"person": str(self.person), "at": self.at_text, "algorithm": "Ed25519"}

    def message(self) -> bytes:
        act = {"record": self.record, "person": str(self.person), "name": self.name, "role": self.role}
        return canonical(act | {"meaning": self.meaning, "at": self.at_text})


def read_body(body: bytes) -> tuple[Record, list[Signed]]:
    """The record and its signatures in `body`. Raises Refused naming every field that is wrong."""
    document = parsed(body)
    reader = Reader()
    top = reader.table("", document, {"record": dict, "signatures": list})
    reader.stop()
    record = _record(reader, top["record"])
    signatures = [_signature(reader, f"signatures[{n}]", one) for n, one in enumerate(top["signatures"])]
    if not 1 <= len(signatures) <= MOST_SIGNATURES:
        reader.fault("signatures", len(signatures), f"1 to {MOST_SIGNATURES} signatures")
    reader.stop()
    assert record is not None  # noqa: S101  (stop() has raised otherwise)
    return record, [one for one in signatures if one is not None]


def parsed(body: bytes) -> Any:
    if len(body) > LARGEST_BYTES:
        raise Refused(("body", f"{len(body)} bytes", f"at most {LARGEST_BYTES} bytes"))
    parts = body.count(b"{") + body.count(b"[")
    if parts > MOST_PARTS:
        raise Refused(("body", f"{parts} objects and lists", f"at most {MOST_PARTS}"))
    try:
        document = json.loads(body.decode("utf-8"), object_pairs_hook=_unique)
        canonical(document)
    except NotCanonical as fault:
        raise Refused(
            ("body", fault, "text, whole numbers, true, false, null; quantities as decimal strings")
        ) from fault
    except (UnicodeDecodeError, ValueError, RecursionError) as fault:
        raise Refused(("body", fault, "one JSON object with unique names, in UTF-8")) from fault
    return document


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"the name {twice[:60]!r} is written twice")
    return found


def _record(reader: Reader, given: Mapping[str, Any]) -> Record | None:
    top = reader.table("record", given, RECORD, OPTIONAL)
    if not top:
        return None
    if top["format"] != FORMAT:
        reader.fault("record.format", top["format"], FORMAT)
    parts = {name: reader.table(f"record.{name}", top[name], fields) for name, fields in PARTS.items()}
    for n, tick in enumerate(top["controls_ticked"]):
        reader.table(f"record.controls_ticked[{n}]", tick, TICK)
    _check_decision(reader, top["decision"])
    situation = _situation(reader, top["situation"])
    if "plan" in top and situation is not None:
        for field, value, accepted in plan_faults(top["plan"], situation.document):
            reader.fault(f"record.plan{field}", value, accepted)
    if reader.errors or situation is None:
        return None
    reader.moment("record.own_judgement.at", parts["own_judgement"]["at"])
    reader.moment("record.situation.assessed_at", top["situation"]["assessed_at"])
    return _built(reader, top, situation, operation=parts["operation"], chosen=parts["chosen"])


def _built(
    reader: Reader,
    top: Mapping[str, Any],
    situation: Situation,
    *,
    operation: Mapping[str, Any],
    chosen: Mapping[str, Any],
) -> Record:
    own = top["own_judgement"]["decision"]
    return Record(
        document=top,
        digest=digest(top),
        id=reader.uuid("record.id", top["id"]),
        operation=reader.uuid("record.operation.id", operation["id"]),
        title=reader.text("record.operation.title", operation["title"], 200),
        place=reader.text("record.operation.place", operation["place"], 300, empty=True),
        site=reader.uuid("record.operation.site", operation["site"]) if operation["site"] else None,
        revision=reader.count("record.revision", top["revision"]),
        previous=reader.hexadecimal("record.previous", top["previous"]) if top["previous"] else "",
        situation=situation,
        own_decision=reader.one_of("record.own_judgement.decision", own, DECISIONS),
        decision=top["decision"],
        plan=top.get("plan"),
        correction=_correction(reader, top),
        merges=_merges(reader, top.get("merges", [])),
        photos=_photos(reader, top.get("photos", [])),
        chosen=reader.one_of("record.chosen.decision", chosen["decision"], DECISIONS),
        reason=reader.text("record.chosen.reason", chosen["reason"], 4000, empty=True),
        second=reader.uuid("record.chosen.second_person", chosen["second_person"]) if chosen["second_person"] else None,
        made_at=reader.moment("record.made_at", top["made_at"]),
    )


def _correction(reader: Reader, top: Mapping[str, Any]) -> str:
    """The reason of a correction, long enough to say something; only a later revision corrects."""
    if "correction" not in top:
        return ""
    if not top["previous"]:
        reader.fault("record.correction", top["correction"], "nothing: this revision has no previous one to correct")
    given = reader.table("record.correction", top["correction"], {"reason": str})
    if not given:
        return ""
    reason = reader.text("record.correction.reason", given["reason"], 4000).strip()
    if len(reason) < LEAST_REASON:
        reader.fault("record.correction.reason", reason, f"a reason of at least {LEAST_REASON} characters")
    return reason


def _merges(reader: Reader, given: list[Any]) -> tuple[str, ...]:
    if len(given) > MOST_MERGED or len({str(one) for one in given}) < len(given):
        reader.fault("record.merges", len(given), f"at most {MOST_MERGED} digests, each once")
    return tuple(reader.hexadecimal(f"record.merges[{n}]", one) for n, one in enumerate(given))


def _photos(reader: Reader, given: list[Any]) -> tuple[Mapping[str, Any], ...]:
    rows = [reader.table(f"record.photos[{n}]", one, PHOTO) for n, one in enumerate(given)]
    reader.stop()
    if len(rows) > MOST_PHOTOS or len({row["id"] for row in rows}) < len(rows):
        reader.fault("record.photos", len(rows), f"at most {MOST_PHOTOS} photos, each once")
    for n, row in enumerate(rows):
        read_photo(reader, f"record.photos[{n}]", row)
    return tuple(rows)


def read_photo(reader: Reader, where: str, row: Mapping[str, Any]) -> None:
    """A photo as record and log name it."""
    reader.uuid(f"{where}.id", row["id"])
    reader.hexadecimal(f"{where}.sha256", row["sha256"])
    reader.text(f"{where}.caption", row["caption"], LONGEST_CAPTION)
    reader.moment(f"{where}.taken_at", row["taken_at"])


def _check_decision(reader: Reader, given: Mapping[str, Any]) -> None:
    """Only what the server looks up: the document of an older engine may hold more or less."""
    where = "record.decision"
    if given.get("format") != "opsrisk.decision/1":
        reader.fault(f"{where}.format", given.get("format"), "opsrisk.decision/1")
    reader.one_of(f"{where}.decision", given.get("decision"), DECISIONS)
    score = given.get("score")
    if not isinstance(score, int) or isinstance(score, bool) or not 0 <= score <= 100:
        reader.fault(f"{where}.score", score, "a whole number from 0 to 100")
    protocol = given.get("protocol")
    reader.hexadecimal(f"{where}.protocol.digest", protocol.get("digest") if isinstance(protocol, dict) else protocol)
    stops = given.get("stops")
    if not isinstance(stops, list) or not all(isinstance(stop, dict) for stop in stops):
        reader.fault(f"{where}.stops", stops, "a list of objects")
    reader.moment(f"{where}.valid_until", given.get("valid_until"))


def _situation(reader: Reader, given: Mapping[str, Any]) -> Situation | None:
    try:
        return read_situation(canonical(given))
    except SituationRefused as refused:
        for field, value, accepted in refused.errors:
            reader.fault(f"record.situation.{field}", value, accepted)
        return None


def _signature(reader: Reader, where: str, given: Any) -> Signed | None:
    top = reader.table(where, given, SIGNATURE)
    if not top:
        return None
    if top["algorithm"] != "Ed25519":
        reader.fault(f"{where}.algorithm", top["algorithm"], "Ed25519")
    return Signed(
        person=reader.uuid(f"{where}.person", top["person"]),
        name=reader.text(f"{where}.name", top["name"], 200),
        role=reader.text(f"{where}.role", top["role"], 40),
        meaning=reader.one_of(f"{where}.meaning", top["meaning"], MEANINGS),
        at=reader.moment(f"{where}.at", top["at"]),
        at_text=reader.text(f"{where}.at", top["at"], 40),
        record=reader.hexadecimal(f"{where}.record", top["record"]),
        public_key=reader.text(f"{where}.public_key", top["public_key"], 64),
        signature=reader.text(f"{where}.signature", top["signature"], 120),
    )


TEXT_OR_NOTHING = (str, type(None))
RECORD: Mapping[str, Any] = {
    "format": str,
    "id": str,
    "operation": dict,
    "revision": int,
    "previous": TEXT_OR_NOTHING,
    "situation": dict,
    "own_judgement": dict,
    "decision": dict,
    "controls_ticked": list,
    "chosen": dict,
    "brief": dict,
    "made_at": str,
    "device": dict,
}
OPTIONAL: Mapping[str, Any] = {"plan": dict, "merges": list, "photos": list, "correction": dict}
PHOTO: Mapping[str, Any] = {"id": str, "sha256": str, "caption": str, "taken_at": str}
LONGEST_CAPTION = 200
MOST_PHOTOS = 40
MOST_MERGED = 8
OPERATION: Mapping[str, Any] = {"id": str, "title": str, "site": TEXT_OR_NOTHING, "place": str}
OWN: Mapping[str, Any] = {"decision": str, "at": str, "note": str}
CHOSEN: Mapping[str, Any] = {"decision": str, "reason": str, "second_person": TEXT_OR_NOTHING}
TICK: Mapping[str, Any] = {"id": str, "ticked": bool, "at": TEXT_OR_NOTHING}
DEVICE: Mapping[str, Any] = {"id": str, "client_version": str, "offset_s": (int, str)}
PARTS = {"operation": OPERATION, "own_judgement": OWN, "chosen": CHOSEN, "device": DEVICE}
SIGNATURE: Mapping[str, Any] = dict.fromkeys(
    ("person", "name", "role", "meaning", "at", "record", "algorithm", "public_key", "signature"), str
)
KIND_WORDS = {dict: "an object", list: "a list", str: "text", int: "a whole number", bool: "true or false"}


class Reader:
    """Checks field by field and collects what is wrong; a value that is wrong comes back as a harmless stand-in,
    which never leaves this file because `stop` raises before."""

    def __init__(self) -> None:
        self.errors: Errors = []

    def stop(self) -> None:
        if self.errors:
            raise Refused(*self.errors)

    def fault(self, field: str, given: object, accepted: str) -> None:
        self.errors.append((field, given, accepted))

    def table(
        self, where: str, given: Any, needed: Mapping[str, Any], optional: Mapping[str, Any] = MappingProxyType({})
    ) -> dict[str, Any]:
        """`given` if it is an object with exactly these fields of these kinds, else {}."""
        fields = {**needed, **optional}
        if not isinstance(given, dict):
            self.fault(where or "body", given, "an object")
            return {}
        path = where + "." if where else ""
        before = len(self.errors)
        for name in given.keys() - fields.keys():
            self.fault(f"{path}{name}", given[name], "no field of this name; accepted are " + ", ".join(fields))
        for name, kind in fields.items():
            if name not in given:
                if name in needed:
                    self.fault(f"{path}{name}", "nothing", _kind_words(kind))
            elif not isinstance(given[name], kind) or (kind is int and isinstance(given[name], bool)):
                self.fault(f"{path}{name}", given[name], _kind_words(kind))
        return given if len(self.errors) == before else {}

    def one_of(self, field: str, given: Any, accepted: Iterable[str]) -> str:
        return self._read(field, given, "one of " + ", ".join(accepted), lambda: given if given in accepted else None)

    def uuid(self, field: str, given: str) -> UUID:
        # Only the plain form: what is signed is compared as text elsewhere.
        return self._read(
            field, given, "a UUID such as 6f3c0d5e-5d0b-4a53-9a58-0f3f2a1f7c11", lambda: _uuid(given), UUID(int=0)
        )

    def text(self, field: str, given: str, longest: int, *, empty: bool = False) -> str:
        words = f"{'' if empty else '1 to '}{longest} characters{' at most' if empty else ''}"
        fits = len(given) <= longest and (empty or given.strip()) and "\x00" not in given
        return self._read(field, given, words, lambda: given if fits else None)

    def count(self, field: str, given: int) -> int:
        return self._read(
            field, given, "a whole number from 1 to 10000", lambda: given if 1 <= given <= 10_000 else None, 1
        )

    def hexadecimal(self, field: str, given: Any) -> str:
        def read() -> str | None:
            return given if len(given) == 64 and not set(given) - set("0123456789abcdef") else None

        return self._read(field, given, "a SHA-256 digest, 64 hexadecimal digits", read)

    def moment(self, field: str, given: Any) -> datetime:
        def read() -> datetime | None:
            at = datetime.fromisoformat(given)
            return at if at.tzinfo and YEARS[0] <= at.year <= YEARS[1] else None

        words = f"ISO 8601 with offset, {YEARS[0]} to {YEARS[1]}, such as 2026-06-01T12:00:00+00:00"
        return self._read(field, given, words, read, NEVER)

    def _read(self, field: str, given: object, accepted: str, read: Callable[[], Any], otherwise: Any = "") -> Any:
        try:
            found = read()
        except (ValueError, TypeError, OverflowError):
            found = None
        if found is None:
            self.fault(field, given, accepted)
            return otherwise
        return found


def _uuid(given: str) -> UUID | None:
    found = UUID(given)
    return found if str(found) == given else None


def _kind_words(kind: Any) -> str:
    if isinstance(kind, tuple):
        return " or ".join(KIND_WORDS.get(each, "null") for each in kind)
    return KIND_WORDS[kind]
