"""Reading a protocol document, and saying what is wrong with a bad one.

Every number of a decision comes from here, each with its source. The document is JSON
(`protocol.schema.json`); reading it either gives a complete `Protocol` (see `parts`) or refuses it with every
fault named by its place, what was given and what is accepted.
"""

import itertools
import json
from collections.abc import Callable, Iterable
from fractions import Fraction
from typing import Any

from opsrisk.engine import inputs as known
from opsrisk.engine.conditions import COMPARISONS, AllOf, AnyOf, Condition, Limit, Not
from opsrisk.engine.inputs import INPUTS, Category, Configuration, Quantity
from opsrisk.engine.parts import EFFECTS, SETTINGS, Factor, InputRule, Protocol, Rule, Source, Spread
from opsrisk.engine.points import staircase
from opsrisk.reference.units import UNITS, dimension, to_si

__all__ = ["Protocol", "ProtocolRefused", "read_protocol"]

METHODS = ("measured", "estimated", "reported", "forecast")


class ProtocolRefused(ValueError):
    """The document is no complete protocol; `errors` lists (place, given, accepted)."""

    def __init__(self, errors: list[tuple[str, str, str]]) -> None:
        self.errors = errors
        super().__init__("; ".join(f"{place}: {given}; accepted: {accepted}" for place, given, accepted in errors))


def read_protocol(text: str | bytes) -> Protocol:
    """The protocol in the JSON `text`. Raises ProtocolRefused naming every fault."""
    try:
        document = json.loads(text, object_pairs_hook=_no_duplicates, parse_float=_no_float, parse_constant=_no_float)
    except (ValueError, RecursionError) as fault:
        raise ProtocolRefused([("document", str(fault), "JSON with unique keys and decimal strings")]) from fault
    return _Reader(document).protocol()


def _no_duplicates(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        names = [name for name, _ in pairs]
        raise ValueError(f"key written twice: {next(name for name in names if names.count(name) > 1)}")
    return found


def _no_float(literal: str) -> Any:
    raise ValueError(f"number {literal} is not a decimal string")


class _Reader:
    """Walks one document, collecting faults instead of stopping at the first."""

    def __init__(self, document: Any) -> None:
        self.document = document
        self.errors: list[tuple[str, str, str]] = []

    def protocol(self) -> Protocol:
        top = self.table("document", self.document, required=_TOP, optional=("note", "sources"))
        if not self.errors and top["format"] != "opsrisk.protocol/1":
            self.fault("format", top["format"], '"opsrisk.protocol/1"')
        if self.errors:
            raise ProtocolRefused(self.errors)
        lines = self.table("lines", top["lines"], required=("divers", "nobody_to_save", "rescue"))
        line = {name: self.measure(f"lines.{name}", lines.get(name), whole=True) for name in lines}
        settings = self.entries("settings", top["settings"])
        recheck = self.measure("recheck", top["recheck"], whole=True)
        found = Protocol(
            id=self.word("id", top["id"]),
            version=self.word("version", top["version"]),
            title=self.word("title", top["title"]),
            effective_from=self.word("effective_from", top["effective_from"]),
            author=self.word("author", top["author"]),
            line_divers=int(line.get("divers", 0)),
            line_nobody_to_save=int(line.get("nobody_to_save", 0)),
            line_rescue=int(line.get("rescue", 0)),
            line_sources={name: self.source(f"lines.{name}", lines[name]) for name in lines},
            recheck_minutes=int(recheck),
            recheck_source=self.source("recheck", top["recheck"]),
            settings={name: self.measure(f"settings.{name}", entry) for name, entry in settings.items()},
            inputs={
                name: self.input_rule(name, entry) for name, entry in self.entries("inputs", top["inputs"]).items()
            },
            factors=self.each("factors", top["factors"], self.factor),
            combinations=self.each("combinations", top["combinations"], self.rule, ("points",)),
            rules=self.each("rules", top["rules"], self.rule, ("effect",), ("absolute", "flag")),
            controls=self.each("controls", top["controls"], self.rule, ("owner", "serves"), ("flag",)),
            notes=self.each("notes", top["notes"], self.rule, ("flag",)),
            waivers={
                name: self.word(f"waivers.{name}", why) for name, why in self.entries("waivers", top["waivers"]).items()
            },
            not_assessed=tuple(self.word("not_assessed", text) for text in top["not_assessed"]),
            document=self.document,
        )
        self.cross_check(found)
        if self.errors:
            raise ProtocolRefused(self.errors)
        return found

    # --- small readers ---------------------------------------------------------------------------

    def fault(self, place: str, given: Any, accepted: str) -> None:
        self.errors.append((place, f"given {json.dumps(given, default=str)[:120]}", accepted))

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
        return value

    def entries(self, place: str, value: Any) -> dict[str, Any]:
        if isinstance(value, dict):
            return value
        self.fault(place, value, "an object")
        return {}

    def each(self, place: str, value: Any, reader: Callable[..., Any], *fields: tuple[str, ...]) -> tuple[Any, ...]:
        if not isinstance(value, list):
            self.fault(place, value, "a list")
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

    def number(self, place: str, value: Any, unit: str, whole: bool = False) -> float:
        try:
            if not isinstance(value, str) or set(value) - set("-0123456789."):
                raise ValueError
            if whole and not value.lstrip("-").isdigit():
                raise ValueError
            return to_si(value, unit)
        except (ValueError, KeyError, ZeroDivisionError):
            self.fault(place, value, "a whole number as a string" if whole else "a decimal string and a known unit")
            return 0.0

    def measure(self, place: str, entry: Any, whole: bool = False) -> float:
        entry = self.table(place, entry, required=("value", "source"), optional=("unit", "text", "note"))
        return self.number(place, entry.get("value"), entry.get("unit", ""), whole)

    def source(self, place: str, entry: Any) -> Source:
        given = entry.get("source") if isinstance(entry, dict) else None
        given = self.table(
            f"{place}.source", given, required=("kind",), optional=("document", "where", "status", "note")
        )
        kind = self.choice(f"{place}.source.kind", given.get("kind"), ("published", "practice", "agency"))
        status = given.get("status", "")
        if kind == "published":
            self.word(f"{place}.source.document", given.get("document"))
            status = self.choice(f"{place}.source.status", status, ("read", "second-hand", "memory"))
        return Source(kind, given.get("document", ""), given.get("where", ""), status, given.get("note", ""))

    # --- the parts of a protocol -------------------------------------------------------------------

    def input_rule(self, name: str, entry: Any) -> InputRule:
        place = f"inputs.{name}"
        entry = self.table(place, entry, ("source",), ("unit", "domain", "spread", "valid_minutes", "assume", "waiver"))
        item = INPUTS.get(name)
        if item is None:
            self.fault(place, name, "an input named in the contract")
        quantity = item if isinstance(item, Quantity) else None
        low, high = (quantity.lowest, quantity.highest) if quantity else (0.0, 0.0)
        unit = entry.get("unit", "")
        if "domain" in entry and isinstance(entry["domain"], list) and len(entry["domain"]) == 2:
            low, high = (self.number(f"{place}.domain", bound, unit) for bound in entry["domain"])
            if quantity and not quantity.lowest <= low < high <= quantity.highest:
                self.fault(
                    f"{place}.domain",
                    entry["domain"],
                    f"within {quantity.lowest:g} to {quantity.highest:g} {quantity.si}",
                )
        spreads = {
            self.choice(f"{place}.spread", method, METHODS): self.spread(f"{place}.spread.{method}", given, unit)
            for method, given in self.entries(f"{place}.spread", entry.get("spread", {})).items()
        }
        valid = entry.get("valid_minutes")
        assumed = self.number(f"{place}.assume", entry["assume"], unit) if "assume" in entry else None
        if (assumed is None) != ("waiver" not in entry):
            self.fault(place, entry.get("assume"), "'assume' together with the 'waiver' that allows it")
        return InputRule(
            name, low, high, spreads, None if valid is None else int(self.number(place, valid, "", whole=True)),
            assumed, entry.get("waiver"), self.source(place, entry),
        )  # fmt: skip

    def spread(self, place: str, entry: Any, unit: str) -> Spread:
        entry = self.table(place, entry, (), ("plus_minus", "relative"))
        for name in entry:
            self.number(f"{place}.{name}", entry[name], unit)
        factor = UNITS[unit][2] if unit in UNITS else Fraction(1)  # a difference has no offset
        try:
            return Spread(Fraction(entry.get("plus_minus", "0")) * factor, Fraction(entry.get("relative", "0")))
        except (ValueError, TypeError):
            return Spread(Fraction(0), Fraction(0))  # the fault was named above

    def factor(self, place: str, entry: Any) -> Factor | None:
        entry = self.table(place, entry, ("id", "input", "points", "source"), ("unit", "note"))
        item = INPUTS.get(entry.get("input", ""))
        unit = entry.get("unit", "")
        points = entry.get("points")
        if item is None or isinstance(item, Configuration):
            self.fault(f"{place}.input", entry.get("input"), "a quantity or category named in the contract")
            return None
        if not isinstance(points, list) or not all(isinstance(p, list) and len(p) == 2 for p in points):
            self.fault(f"{place}.points", points, "a list of [value, points]")
            return None
        values = [self.place_of(f"{place}.points", item, value, unit) for value, _ in points]
        totals = [int(self.number(f"{place}.points", total, "", whole=True)) for _, total in points]
        sign = -1 if isinstance(item, Quantity) and item.worse == "lower" else 1
        signed = [sign * value for value in values]
        if not points or any(a >= b for a, b in itertools.pairwise(signed)):
            self.fault(f"{place}.points", [p[0] for p in points], "values from harmless to worst, each once")
            return None
        if isinstance(item, Category) and [p[0] for p in points] != list(item.values):
            self.fault(f"{place}.points", [p[0] for p in points], f"every value in order: {', '.join(item.values)}")
            return None
        steps = staircase(signed, totals, sign, ramp=isinstance(item, Quantity))
        shown = tuple((str(value), total) for (value, _), total in zip(points, totals, strict=True))
        return Factor(
            self.word(f"{place}.id", entry.get("id")), item.name, unit, shown, steps, self.source(place, entry)
        )

    def place_of(self, place: str, item: Any, value: Any, unit: str) -> float | int:
        """A limit's value on the scale of its input: SI for a quantity, place in the order for a category."""
        if isinstance(item, Quantity):
            if unit not in UNITS or dimension(unit) != dimension(item.units[0]):
                self.fault(f"{place}.unit", unit, f"one of {', '.join(item.units)}")
                return 0.0
            return self.number(place, value, unit)
        return int(item.values.index(self.choice(place, value, item.values)))

    def rule(
        self, place: str, entry: Any, required: tuple[str, ...] = (), optional: tuple[str, ...] = ()
    ) -> Rule | None:
        entry = self.table(place, entry, ("id", "text", "when", "source", *required), (*optional, "note"))
        if "when" in entry and entry["when"] is None:  # a limit that was abolished, not forgotten
            self.word(f"{place}.note", entry.get("note"))
            return None
        condition = self.condition(f"{place}.when", entry.get("when"))
        if condition is None:
            return None
        return Rule(
            id=self.word(f"{place}.id", entry.get("id")),
            when=condition,
            text=self.word(f"{place}.text", entry.get("text")),
            source=self.source(place, entry),
            effect=self.choice(f"{place}.effect", entry["effect"], EFFECTS) if "effect" in entry else "",
            absolute=self.choice(f"{place}.absolute", entry.get("absolute", "no"), ("yes", "no")) == "yes",
            flag=self.choice(f"{place}.flag", entry["flag"], known.FLAGS) if "flag" in entry else "",
            points=int(self.number(f"{place}.points", entry["points"], "", whole=True)) if "points" in entry else 0,
            owner=self.choice(f"{place}.owner", entry["owner"], known.POSITIONS) if "owner" in entry else "",
            serves=self.choice(f"{place}.serves", entry["serves"], ("divers", "vehicle")) if "serves" in entry else "",
        )

    def condition(self, place: str, entry: Any) -> Condition | None:
        if isinstance(entry, dict) and set(entry) == {"not"}:
            part = self.condition(f"{place}.not", entry["not"])
            return None if part is None else Not(part)
        for word, kind in (("all", AllOf), ("any", AnyOf)):
            if isinstance(entry, dict) and set(entry) == {word}:
                parts = self.each(f"{place}.{word}", entry[word], self.condition)
                if not parts:
                    self.fault(f"{place}.{word}", entry[word], "at least one condition")
                    return None
                return kind(parts)
        return self.limit(place, entry)

    def limit(self, place: str, entry: Any) -> Limit | None:
        entry = self.table(place, entry, ("input",), (*COMPARISONS, "unit"))
        item = INPUTS.get(entry.get("input", ""))
        comparisons = [word for word in COMPARISONS if word in entry]
        if item is None or len(comparisons) != 1:
            self.fault(place, entry, f"an input of the contract and one of {', '.join(COMPARISONS)}")
            return None
        word, unit = comparisons[0], entry.get("unit", "")
        compare = COMPARISONS[word][isinstance(item, Quantity) and item.worse == "lower"]
        given = entry[word]
        if isinstance(given, dict):
            other = given.get("input", "")
            if not isinstance(INPUTS.get(other), Quantity) or not isinstance(item, Quantity):
                self.fault(place, given, "another quantity of the contract")
                return None
            return Limit(item.name, word, other, other, "", compare)
        value = self.place_of(f"{place}.{word}", item, given, unit)
        return Limit(item.name, word, value, str(given), unit, compare)

    def cross_check(self, found: Protocol) -> None:
        """What no single entry can show: ids used once, domains for every reading, waivers that exist."""
        rules = (*found.combinations, *found.rules, *found.controls, *found.notes)
        ids = [factor.id for factor in found.factors] + [rule.id for rule in rules]
        for name in sorted({name for name in ids if ids.count(name) > 1}):
            self.fault("document", name, "an id used once")
        for name in sorted(found.inputs_named):
            if isinstance(INPUTS[name], Quantity) and name not in found.inputs:
                self.fault(f"inputs.{name}", None, "domain, spread and source of a reading that the rules use")
        for name in sorted(set(SETTINGS) ^ set(found.settings)):
            self.fault(f"settings.{name}", name if name in found.settings else None, f"exactly {', '.join(SETTINGS)}")
        for name, entry in found.inputs.items():
            if entry.waiver and entry.waiver not in found.waivers:
                self.fault(f"inputs.{name}.waiver", entry.waiver, "a waiver named under 'waivers'")
        if not found.line_divers <= found.line_nobody_to_save <= found.line_rescue:
            self.fault("lines", "the lines cross", "divers <= nobody_to_save <= rescue")


_TOP = (
    "format", "id", "version", "title", "effective_from", "author", "lines", "recheck", "settings", "inputs", "factors",
    "combinations", "rules", "controls", "notes", "waivers", "not_assessed",
)  # fmt: skip
