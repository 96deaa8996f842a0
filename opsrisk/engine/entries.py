"""Single entries of a protocol document, read strictly: each either is what is accepted or is noted as a fault."""

import json
import re
from collections.abc import Callable, Iterable
from datetime import date
from fractions import Fraction
from typing import Any

from opsrisk.engine.inputs import INPUTS
from opsrisk.reference.units import UNITS, dimension, exact_si

MOST_ENTRIES = 500  # of one list: ten times the baseline's rules, and still to be read and proven
DECIMAL = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,12})?")


class Entries:
    """Readers that collect faults, (place, given, accepted), instead of stopping at the first."""

    def __init__(self) -> None:
        self.errors: list[tuple[str, str, str]] = []

    def fault(self, place: str, given: Any, accepted: str) -> None:
        """Note one fault; the first at a place is the clearest, what follows from it there or below is not said."""
        shown = json.dumps(place)[1:-1][:160]  # a name with a line break would otherwise make two reasons of one
        if not any(f"{shown}.".startswith((f"{known}.", f"{known}[")) for known, _, _ in self.errors):
            self.errors.append((shown, json.dumps(given, default=str)[:120], accepted))

    def table(self, place: str, value: Any, required: Iterable[str], optional: Iterable[str] = ()) -> dict[str, Any]:
        if not isinstance(value, dict):
            self.fault(place, value, "an object")
            return {}
        required = tuple(required)
        for name in required:
            if name not in value:
                self.fault(f"{place}.{name}", None, "a value; it is missing")
        for name in value:
            if name not in required and name not in tuple(optional):
                self.fault(f"{place}.{name}", name, f"one of {', '.join((*required, *optional))}")
        for name in ("note", "text"):
            if name in value:
                self.word(f"{place}.{name}", value[name])
        return value

    def entries(self, place: str, value: Any) -> dict[str, Any]:
        if isinstance(value, dict):
            return value
        self.fault(place, value, "an object")
        return {}

    def each(self, place: str, value: Any, reader: Callable[..., Any], *fields: Any) -> tuple[Any, ...]:
        if not isinstance(value, list):
            self.fault(place, value, "a list")
            return ()
        if len(value) > MOST_ENTRIES:
            self.fault(place, f"{len(value)} entries", f"at most {MOST_ENTRIES}")
            return ()
        return tuple(
            item for i, entry in enumerate(value) if (item := reader(f"{place}[{i}]", entry, *fields)) is not None
        )

    def word(self, place: str, value: Any) -> str:
        if isinstance(value, str) and value.strip():
            return value
        self.fault(place, value, "words")
        return ""

    def choice(self, place: str, value: Any, accepted: Iterable[str]) -> str:
        accepted = tuple(accepted)
        if value in accepted:
            return str(value)
        self.fault(place, value, f"one of {', '.join(accepted)}")
        return accepted[0]

    def known(self, value: Any) -> Any:
        """The input of that name, or None."""
        return INPUTS.get(value) if isinstance(value, str) else None

    def day(self, place: str, value: Any) -> str:
        try:
            if date.fromisoformat(value).isoformat() != value:
                raise ValueError  # 20261125 and 2026-W48-3 are dates too, but not to every reader
        except (TypeError, ValueError):
            self.fault(place, value, "a date as in 2026-11-25")
            return ""
        return str(value)

    def number(self, place: str, value: Any, unit: Any = "", whole: bool = False) -> Fraction:
        """A decimal string in `unit` as its exact SI value."""
        written = isinstance(value, str) and DECIMAL.fullmatch(value) and not (whole and "." in value)
        if not written:
            self.fault(place, value, "a whole number as a string" if whole else "a decimal string")
        elif unit not in UNITS:
            self.fault(place, unit, "a known unit")
        else:
            return exact_si(value, unit)
        return Fraction(0)

    def not_negative(self, place: str, value: Any, unit: str = "") -> Fraction:
        found = self.number(place, value)
        if found < 0:
            self.fault(place, value, "a number that is not negative")
        return found * (UNITS[unit][2] if unit in UNITS else 1)  # a difference has no offset

    def unit(self, place: str, given: Any, accepted: Iterable[str]) -> str:
        """A unit of the same kind as `accepted`; the first of those stands in for a wrong one."""
        accepted = tuple(accepted)
        if isinstance(given, str) and given in UNITS and dimension(given) == dimension(accepted[0]):
            return given
        self.fault(f"{place}.unit", given, f"one of {', '.join(accepted)}" if any(accepted) else "no unit")
        return accepted[0]
