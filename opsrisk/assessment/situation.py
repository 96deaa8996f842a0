"""The situation document: what the supervisor recorded, read strictly.

`read_situation` either gives a `Situation` whose document is complete and canonical, or refuses it
and names every fault: the field, what was given, what is accepted. Nothing is repaired.
"""

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from opsrisk.assessment.fields import SHAPE, Choice, Group, Measure, Number, People, Text, Texts, Time
from opsrisk.engine.readings import Taken
from opsrisk.reference.units import from_si, to_si

FORMAT = "opsrisk.situation/1"
LARGEST_BYTES = 256 * 1024
MOST_PARTS = 1000  # objects and lists together: also bounds how deep they nest
CLOCK_TOLERANCE = timedelta(minutes=5)
SHOWN = 80  # letters of what was given that a message repeats
LATEST_AHEAD = timedelta(days=1)  # a zone or clock slip is at most a day
DECIMAL = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,12})?")
# Python reads more than this as a time, and each version of it something else; other programs read this alone.
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT([01]\d|2[0-3]):\d\d(:\d\d(\.\d{1,6})?)?(Z|[+-]\d\d:\d\d)", re.ASCII)

Fault = tuple[str, str, str]


class SituationRefused(ValueError):
    """The document is no situation; `errors` lists (field, given, accepted)."""

    def __init__(self, errors: list[Fault]) -> None:
        self.errors = errors
        super().__init__(
            "\n".join(f"{field}: given {given}; accepted: {accepted}" for field, given, accepted in errors)
        )


@dataclass(frozen=True)
class Measured(Taken):
    """One quantity as given, with the time it was taken at."""

    at: datetime | None


@dataclass(frozen=True)
class Situation:
    """A situation that was read: `document` is canonical, the methods look things up in it."""

    document: dict[str, Any]
    assessed_at: datetime

    def at(self, path: str) -> Any:
        """The entry at a dotted path, or 'unknown' where it is missing."""
        found: Any = self.document
        for name in path.split("."):
            if not isinstance(found, dict) or name not in found:
                return "unknown"
            found = found[name]
        return found

    def choice(self, path: str) -> str | None:
        """A category as given; None if nobody knows."""
        found = self.at(path)
        return None if found == "unknown" else found

    def moment(self, path: str) -> datetime | None:
        found = self.at(path)
        return None if found is None or found == "unknown" else datetime.fromisoformat(found)

    def measured(self, path: str) -> Measured | None:
        """A quantity in SI; None if nobody knows."""
        found = self.at(path)
        if not isinstance(found, dict) or found.get("value", "unknown") == "unknown":
            return None
        unit = found["unit"]
        low, high = (to_si(found[end], unit) if end in found else None for end in ("low", "high"))
        at = datetime.fromisoformat(found["at"]) if "at" in found else None
        return Measured(to_si(found["value"], unit), low, high, found.get("how", ""), f"{found['value']} {unit}", at)

    @property
    def has_vehicle(self) -> bool | None:
        """Whether the kit holds a vehicle; None if nobody says."""
        found = self.at("vehicle")
        return None if found == "unknown" else found is not None


def read_situation(text: str | bytes, now: datetime | None = None) -> Situation:
    """The situation in the JSON `text`. Raises SituationRefused.

    With `now` (aware), times more than a day ahead of it are refused; without it, as for a record made
    on a device whose clock may be wrong, times are only held against each other.
    """
    document = parsed(text)
    reader = Reader()
    clean = reader.group(SHAPE, document, "")
    if not reader.errors:
        _check_times(reader, clean, now)
    if reader.errors:
        raise SituationRefused(reader.errors)
    return Situation(clean, datetime.fromisoformat(clean["assessed_at"]))


def parsed(text: str | bytes) -> Any:
    """The JSON in `text` with numbers as Decimal; names used once, no NaN, bounded size. Raises SituationRefused."""
    data = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    if len(data) > LARGEST_BYTES:
        raise SituationRefused([("document", f"{len(data)} bytes", f"at most {LARGEST_BYTES} bytes")])
    parts = data.count(b"{") + data.count(b"[")
    if parts > MOST_PARTS:
        raise SituationRefused([("document", f"{parts} objects and lists", f"at most {MOST_PARTS}")])
    try:
        return json.loads(
            data.decode("utf-8"),
            object_pairs_hook=_unique,
            parse_float=Decimal,
            parse_int=Decimal,
            parse_constant=_no_constant,
        )
    except UnicodeDecodeError as fault:
        raise SituationRefused([("document", f"bytes that are no UTF-8 at {fault.start}", "UTF-8 text")]) from fault
    except (ValueError, ArithmeticError, RecursionError) as fault:
        raise SituationRefused([("document", str(fault)[:200], "one JSON object with unique names")]) from fault


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise ValueError(f"the name {name[:60]!r} is written twice")
        found[name] = value
    return found


def _no_constant(literal: str) -> Any:
    raise ValueError(f"{literal} is not a number that can be measured")


def _check_times(reader: "Reader", clean: dict[str, Any], now: datetime | None) -> None:
    """Nothing seen can be later than the assessment, nor the assessment later than tomorrow."""
    assessed = datetime.fromisoformat(clean["assessed_at"])
    if now is not None and assessed > now + LATEST_AHEAD:
        reader.fault("assessed_at", clean["assessed_at"], "a time not more than a day ahead of the clock")
    under = clean.get("task", {}).get("submerged_at")
    seen = [("task.submerged_at", under)] if under not in (None, "unknown") else []
    for field, time in (*seen, *reader.taken):
        if datetime.fromisoformat(time) > assessed + CLOCK_TOLERANCE:
            reader.fault(field, time, f"a time not later than assessed_at, {clean['assessed_at']}")


def _shown(given: Any) -> str:
    """The first letters of what was given. Read no further: it may be nested deeper than Python can follow."""
    text = ""
    for part in json.JSONEncoder(default=str).iterencode(given):
        text += part
        if len(text) > SHOWN:
            return text[: SHOWN - 3] + "..."
    return text


class Reader:
    """Checks one document against the fields, collecting every fault."""

    def __init__(self) -> None:
        self.errors: list[Fault] = []
        self.taken: list[tuple[str, str]] = []  # when each quantity was taken, by its field

    def fault(self, field: str, given: Any, accepted: str) -> None:
        field = json.dumps(field)[1:-1][:120]  # a name of the document's own may hold a line break, or be endless
        self.errors.append((field or "document", _shown(given), accepted))

    def group(self, shape: Group, given: Any, path: str) -> dict[str, Any]:
        if not isinstance(given, dict):
            self.fault(
                path, given, "an object" + (" or null" if shape.nullable else "") + (' or "unknown"' if path else "")
            )
            return {}
        clean = {}
        for name, value in given.items():
            field = f"{path}.{name}" if path else name
            if name not in shape.fields:
                self.fault(field, name, f"one of: {', '.join(shape.fields)}")
            elif (found := self.value(shape.fields[name], value, field)) is not None or value is None:
                clean[name] = found
        for name in shape.required:
            if name not in given:
                self.fault(f"{path}.{name}" if path else name, None, "a value; it is required")
        return clean

    def value(self, shape: Any, given: Any, field: str) -> Any:
        if given is None and getattr(shape, "nullable", False):
            return None
        if given == "unknown" and shape.may_be_unknown:
            # A group of answers nobody knows is an empty one; only an object that can be null keeps the word.
            return {} if isinstance(shape, Group) and not shape.nullable else given
        readers: dict[type, Callable[[Any, Any, str], Any]] = {
            Group: self.group, Choice: self.choice, Measure: self.measure, Number: self.number, Time: self.time,
            Text: self.text, Texts: self.texts, People: self.people,
        }  # fmt: skip
        return readers[type(shape)](shape, given, field)

    def choice(self, shape: Choice, given: Any, field: str) -> str | None:
        if isinstance(given, str) and given in shape.values:
            return given
        self.fault(field, given, " ".join(shape.values) + (" unknown" if shape.may_be_unknown else ""))
        return None

    def decimal(self, given: Any, field: str) -> str | None:
        """A number as a plain decimal string, or a fault."""
        if isinstance(given, Decimal):
            short = given.is_finite() and given.adjusted() < 12 and int(given.as_tuple().exponent) >= -12
            given = format(given, "f") if short else str(given)
        if isinstance(given, str) and DECIMAL.fullmatch(given):
            return given
        self.fault(
            field, given, "a number, or a decimal string such as 0.8, with at most 12 digits each side of the point"
        )
        return None

    def number(self, shape: Number, given: Any, field: str) -> str | None:
        text = self.decimal(given, field)
        if text is not None and not Decimal(shape.lowest) <= Decimal(text) <= Decimal(shape.highest):
            self.fault(field, text, f"{shape.lowest} to {shape.highest}")
            return None
        return text

    def time(self, shape: Time, given: Any, field: str) -> str | None:
        accepted = "a time as in 2026-06-12T10:00:00+00:00, with its offset" + (", or null" if shape.nullable else "")
        try:
            if not isinstance(given, str) or not MOMENT.fullmatch(given):
                raise ValueError
            datetime.fromisoformat(given) + timedelta(days=400)  # refuses the last years of the calendar
            datetime.fromisoformat(given) - timedelta(days=400)
        except (ValueError, OverflowError):
            self.fault(field, given, accepted)
            return None
        return given

    def text(self, shape: Text, given: Any, field: str) -> str | None:
        if isinstance(given, str) and len(given) <= shape.longest and given.isprintable():
            return given
        self.fault(field, given, f"up to {shape.longest} printable characters")
        return None

    def texts(self, shape: Texts, given: Any, field: str) -> list[str] | None:
        if (
            isinstance(given, list)
            and len(given) <= shape.most
            and all(isinstance(t, str) and len(t) <= shape.longest and t.isprintable() for t in given)
        ):
            return given
        self.fault(field, given, f"a list of at most {shape.most} printable names")
        return None

    def measure(self, shape: Measure, given: Any, field: str) -> dict[str, Any] | None:
        before = len(self.errors)
        clean = self.group(shape.group, given, field)
        if len(self.errors) > before:
            return None
        if "at" in clean:
            self.taken.append((f"{field}.at", clean["at"]))
        if clean["value"] == "unknown":
            return clean  # with its unit, so that what was read can be read again
        ends = {end: to_si(clean[end], clean["unit"]) for end in ("low", "value", "high") if end in clean}
        unit = clean["unit"]
        possible = f"{from_si(shape.lowest, unit, 1)} to {from_si(shape.highest, unit, 1)} {unit}"
        for end, found in ends.items():
            if not shape.lowest <= found <= shape.highest:
                self.fault(f"{field}.{end}", f"{clean[end]} {unit}", possible)
        if not ends.get("low", ends["value"]) <= ends["value"] <= ends.get("high", ends["value"]):
            self.fault(field, {end: clean[end] for end in ends}, "low <= value <= high")
        return clean if len(self.errors) == before else None

    def people(self, shape: People, given: Any, field: str) -> list[dict[str, Any]] | None:
        if not isinstance(given, list) or len(given) > shape.most:
            self.fault(field, f"{type(given).__name__}", f"a list of at most {shape.most} people")
            return None
        clean = [self.group(shape.person, person, f"{field}[{i}]") for i, person in enumerate(given)]
        ids = [person.get("id") for person in clean]
        for i, person in enumerate(ids):
            if person in ids[:i] or person in ("", "unknown"):
                self.fault(f"{field}[{i}].id", person, "an id used once, not empty and not 'unknown'")
        return clean
