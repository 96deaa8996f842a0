"""The columns of a file of past operations: what each means, what it accepts, and how it is read."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import TextChoices

from opsrisk.operations.debrief_actions import MOST_MINUTES, NOT_KNOWN
from opsrisk.operations.models import Debrief, Decision, Operation

UNITS = ("ft", "m")
MOST_SEEN = {"m": 80, "ft": 262}  # as far as an assessment takes
EARLIEST_YEAR = 1900
TIME = re.compile(r"(\d{4})-(\d\d)-(\d\d)[T ](\d\d):(\d\d)(?::(\d\d))?\s?(Z|[+-]\d\d:\d\d)?", re.ASCII)
NUMBER = re.compile(r"\d{1,3}(?:[.,]\d{1,2})?", re.ASCII)
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


class Wrong(ValueError):
    """A cell that cannot be read; its words say what is accepted."""


@dataclass(frozen=True)
class About:
    """What a cell has to be read against."""

    zone: ZoneInfo
    sites: Mapping[str, Sequence[UUID]]  # by name, in small letters
    now: datetime


Read = Callable[[str, About], Any]


@dataclass(frozen=True)
class Column:
    name: str
    meaning: str
    accepted: str
    example: str
    read: Read


def _words(most: int, *, least: int = 1, lines: bool = False) -> Read:
    def read(text: str, _: About) -> str:
        if not least <= len(text) <= most:
            raise Wrong(f"{least} to {most} letters" if least else f"up to {most} letters, or nothing")
        if CONTROL.search(text) or (not lines and re.search(r"[\t\r\n]", text)):
            raise Wrong("letters, digits and signs that can be seen" + ("" if lines else ", on one line"))
        return text

    return read


def _one_of(choices: type[TextChoices]) -> Read:
    known = {name: name for name in choices.values} | {label.lower(): name for name, label in choices.choices}

    def read(text: str, _: About) -> str:
        if text.lower() not in known:
            raise Wrong(_listed(choices))
        return known[text.lower()]

    return read


def _listed(choices: type[TextChoices]) -> str:
    return "; ".join(f"{name} ({label})" for name, label in choices.choices)


def _site(text: str, about: About) -> UUID | None:
    if not text:
        return None
    found = about.sites.get(text.lower(), ())
    if len(found) != 1:
        raise Wrong("a site that is not two of the same name: give the place instead" if found else "a site by the "
                    "name that it has here, or nothing and a place")  # fmt: skip
    return found[0]


def _time(text: str, about: About) -> datetime:
    found = TIME.fullmatch(text)
    if not found:
        raise Wrong("year-month-day hour:minute, as 2019-07-04 21:40, with seconds and an offset (Z, -04:00) or not")
    *numbers, offset = found.groups()
    try:
        given = datetime(*(int(part or 0) for part in numbers))  # type: ignore[arg-type]  # noqa: DTZ001 - six numbers; the zone comes next
        at = datetime.fromisoformat(f"{given.isoformat()}{offset}") if offset else _local(given, about.zone)
    except Wrong:
        raise
    except ValueError:
        raise Wrong("a day and a time that are in the calendar and on the clock") from None
    if at.year < EARLIEST_YEAR or at > about.now:
        raise Wrong(f"a time from {EARLIEST_YEAR} on that has passed")
    return at.astimezone(UTC)


def _local(given: datetime, zone: ZoneInfo) -> datetime:
    """`given` by the clocks of `zone`; refused where they were put over it, or showed it twice."""
    first, second = (given.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if first.utcoffset() == second.utcoffset():
        return first
    offsets = " or ".join(f"{one:%z}"[:3] + ":" + f"{one:%z}"[3:5] for one in (first, second))
    if first.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != given:
        raise Wrong(f"a time that there was: that hour was left out in {zone.key}; or one with its offset")
    raise Wrong(f"a time with its offset ({offsets}): in {zone.key} the clocks showed this one twice")


def _minutes(text: str, _: About) -> int | None:
    if text.lower() in NOT_KNOWN:
        return None
    if not (text.isascii() and text.isdigit()) or int(text[:9]) > MOST_MINUTES or len(text) > 9:
        raise Wrong(f"whole minutes from 0 to {MOST_MINUTES:,} without a sign between thousands, or: not known")
    return int(text)


def _visibility(text: str, _: About) -> str | None:
    if text.lower() in NOT_KNOWN:
        return None
    if not NUMBER.fullmatch(text):
        raise Wrong("a number with up to two decimals after a point or comma, or: not known")
    return text.replace(",", ".")


def _unit(text: str, _: About) -> str:
    if text.lower() not in ("", *UNITS):
        raise Wrong(f"{' or '.join(UNITS)}; nothing where the visibility is not known")
    return text.lower()


MINUTES = f"whole minutes from 0 to {MOST_MINUTES:,}, or: not known"
WHEN = "2019-07-04 21:40 by the agency's clocks, or with its offset: 2019-07-04T21:40-04:00"
COLUMNS = (
    Column("title", "title of the operation", "up to 200 letters", "Van at the ferry", _words(200)),
    Column("kind", "what for", _listed(Operation.Kind), "recovery", _one_of(Operation.Kind)),
    Column("site", "a site by the name that it has here", "its name; or nothing, and a place", "", _site),
    Column("place", "where, if there is no site here", "up to 300 letters", "North steps", _words(300, least=0)),
    Column("called_at", "when the team was called", WHEN, "2019-07-04 21:40", _time),
    Column("closed_at", "when the operation ended", "the same, not before the call", "2019-07-05 02:10", _time),
    Column("done", "what was done", _listed(Decision), "vehicle_first", _one_of(Decision)),
    Column("outcome", "what came of it", "up to 4,000 letters", "Van raised, nobody in it", _words(4000, lines=True)),
    Column("injuries", "who of the team was hurt", _listed(Debrief.Injuries), "none", _one_of(Debrief.Injuries)),
    Column("near_miss", "did something nearly go wrong", _listed(Debrief.NearMiss), "no", _one_of(Debrief.NearMiss)),
    Column("found_by", "who found the target", _listed(Debrief.FoundBy), "both", _one_of(Debrief.FoundBy)),
    Column("diver_minutes", "all divers in the water, together", MINUTES, "42", _minutes),
    Column("vehicle_minutes", "vehicle in the water", MINUTES, "65", _minutes),
    Column("visibility", "how far somebody saw", "0 to 80 m or 0 to 262 ft, or: not known", "1.5", _visibility),
    Column("visibility_unit", "its unit", "ft or m; nothing where it is not known", "ft", _unit),
    Column("own_reference", "your own number", "up to 100 letters, or nothing", "2019-117", _words(100, least=0)),
)
NAMES = tuple(column.name for column in COLUMNS)
