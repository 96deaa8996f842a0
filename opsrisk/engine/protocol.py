"""Reading a protocol document, and saying what is wrong with a bad one.

Every number of a decision comes from here, each with its source. The document is JSON (its schema is in
`assessment.schemas`); reading it either gives a complete `Protocol` (see `parts`) or refuses it with every fault
named by its place, what was given and what is accepted.
"""

import itertools
import json
import re
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from opsrisk.engine import inputs as known
from opsrisk.engine.conditions import COMPARISONS, AllOf, AnyOf, Condition, Limit, Not
from opsrisk.engine.entries import Entries
from opsrisk.engine.inputs import INPUTS, Category, Configuration, Quantity
from opsrisk.engine.parts import EFFECTS, SETTINGS, Factor, InputRule, Protocol, Rule, Source, Spread, TablesAdopted
from opsrisk.engine.points import staircase
from opsrisk.reference.units import from_si

__all__ = ["Protocol", "ProtocolRefused", "read_protocol"]

METHODS = ("measured", "estimated", "reported", "forecast")
LINES = ("divers", "nobody_to_save", "rescue")
LARGEST_BYTES = 1024 * 1024  # the baseline takes a twentieth
MOST_POINTS = 1000  # each point is a step of its own; the score ends at 100
DEEPEST = 8  # conditions inside conditions: deeper than anyone reads


class ProtocolRefused(ValueError):
    """The document is no complete protocol; `errors` lists (place, given, accepted)."""

    def __init__(self, errors: list[tuple[str, str, str]]) -> None:
        self.errors = errors
        super().__init__(
            "; ".join(f"{place}: given {given}; accepted: {accepted}" for place, given, accepted in errors)
        )


def read_protocol(text: str | bytes) -> Protocol:
    """The protocol in the JSON `text`. Raises ProtocolRefused naming every fault."""
    if len(text) > LARGEST_BYTES:
        raise ProtocolRefused([("document", f"{len(text)} bytes", f"at most {LARGEST_BYTES} bytes")])
    try:
        document = json.loads(
            text, object_pairs_hook=_unique, parse_float=Decimal, parse_int=Decimal, parse_constant=_no_constant
        )
        json.dumps(document, ensure_ascii=False, default=str).encode()  # refuses unpaired surrogates: they are no text
    except (ValueError, ArithmeticError, RecursionError) as fault:
        given = json.dumps(str(fault))[1:-1][:160]
        raise ProtocolRefused([("document", given, "JSON text with unique keys")]) from fault
    return _Reader(document).protocol()


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        names = [name for name, _ in pairs]
        raise ValueError(f"key written twice: {next(name for name in names if names.count(name) > 1)}")
    return found


def _no_constant(literal: str) -> Any:
    raise ValueError(f"{literal} is no number")


class _Reader:
    """Walks one document, collecting faults instead of stopping at the first."""

    def __init__(self, document: Any) -> None:
        self.document = document
        self.read = Entries()

    def protocol(self) -> Protocol:
        top = self.read.table("document", self.document, required=_TOP, optional=("note", "no_stop_adoption"))
        if not self.read.errors and top["format"] != "opsrisk.protocol/1":
            self.read.fault("format", top["format"], '"opsrisk.protocol/1"')
        if self.read.errors:
            raise ProtocolRefused(self.read.errors)
        given = self.read.table("lines", top["lines"], required=LINES)
        lines = {name: int(self.measure(f"lines.{name}", given.get(name), "", whole=True)) for name in LINES}
        settings = self.read.table("settings", top["settings"], required=SETTINGS)
        recheck = self.recheck(top["recheck"])
        found = Protocol(
            id=self.read.word("id", top["id"]),
            version=self.read.word("version", top["version"]),
            title=self.read.word("title", top["title"]),
            effective_from=self.read.day("effective_from", top["effective_from"]),
            author=self.read.word("author", top["author"]),
            line_divers=lines["divers"],
            line_nobody_to_save=lines["nobody_to_save"],
            line_rescue=lines["rescue"],
            line_sources={name: self.source(f"lines.{name}", given.get(name)) for name in LINES},
            recheck_minutes=recheck,
            recheck_source=self.source("recheck", top["recheck"]),
            settings={name: self.setting(name, settings[name]) for name in SETTINGS if name in settings},
            inputs=self.named("inputs", top["inputs"], self.input_rule),
            factors=self.read.each("factors", top["factors"], self.factor),
            combinations=self.read.each("combinations", top["combinations"], self.rule, ("points",)),
            rules=self.read.each("rules", top["rules"], self.rule, ("effect",), ("absolute", "flag")),
            controls=self.read.each("controls", top["controls"], self.rule, ("owner", "serves"), ("flag",)),
            notes=self.read.each("notes", top["notes"], self.rule, ("flag",)),
            waivers=self.named("waivers", top["waivers"], self.waiver),
            not_assessed=self.read.each("not_assessed", top["not_assessed"], self.read.word),
            document=self.document,
            no_stop_adoption=self.tables_adopted(top["no_stop_adoption"]) if "no_stop_adoption" in top else None,
        )
        if not self.read.errors:
            self.cross_check(found)
        if self.read.errors:
            raise ProtocolRefused(self.read.errors)
        return found

    # --- entries with a source ---------------------------------------------------------------------

    def measure(self, place: str, entry: Any, unit: str, whole: bool = False) -> float:
        """An entry of value, unit and source, in a unit of the same kind as `unit`."""
        entry = self.read.table(place, entry, required=("value", "source"), optional=("unit", "text", "note"))
        if "value" not in entry:
            return 0.0
        return float(
            self.read.number(place, entry["value"], self.read.unit(place, entry.get("unit", ""), (unit,)), whole)
        )

    def setting(self, name: str, entry: Any) -> float:
        place = f"settings.{name}"
        found = self.measure(place, entry, SETTINGS[name])
        self.source(place, entry)
        if found <= 0 and SETTINGS[name] != "C":
            self.read.fault(place, entry, "more than nothing")
        return found

    def source(self, place: str, entry: Any) -> Source:
        place = f"{place}.source"
        given = entry.get("source") if isinstance(entry, dict) else None
        given = self.read.table(place, given, required=("kind",), optional=("document", "where", "status", "note"))
        if "kind" not in given:
            return Source("agency", "", "", "", "")
        kind = self.read.choice(f"{place}.kind", given["kind"], ("agency", "practice", "published"))
        if kind == "published":
            self.read.word(f"{place}.document", given.get("document"))
            self.read.choice(f"{place}.status", given.get("status"), ("read", "second-hand", "memory"))
        texts = {name: given.get(name, "") for name in ("document", "where", "status", "note")}
        for name, text in texts.items():
            if not isinstance(text, str):
                self.read.fault(f"{place}.{name}", text, "words")
        return Source(kind, **texts)

    def recheck(self, entry: Any) -> int:
        minutes = self.measure("recheck", entry, "min", whole=True)
        if minutes <= 0 and not self.read.errors:
            self.read.fault("recheck", entry["value"], "a whole number of minutes, more than none")
        return int(minutes)

    def tables_adopted(self, entry: Any) -> TablesAdopted:
        """Who answers for the no-stop tables; whether the digest is that of the tables shows when they are used."""
        place = "no_stop_adoption"
        entry = self.read.table(place, entry, ("person", "on", "digest", "altitude", "source"), ("note",))
        digest = entry.get("digest")
        if "digest" in entry and not (isinstance(digest, str) and re.fullmatch("[0-9a-f]{64}", digest)):
            self.read.fault(f"{place}.digest", digest, "the digest that the page of the tables shows, 64 letters")
        return TablesAdopted(
            person=self.read.word(f"{place}.person", entry.get("person")),
            on=self.read.day(f"{place}.on", entry.get("on")),
            digest=str(digest),
            altitude_m=self.measure(f"{place}.altitude", entry.get("altitude"), "m"),
            source=self.source(place, entry),
        )

    def named(self, place: str, given: Any, reader: Callable[[str, Any], Any]) -> dict[str, Any]:
        return {name: reader(name, entry) for name, entry in self.read.entries(place, given).items()}

    def waiver(self, name: str, why: Any) -> str:
        return self.read.word(f"waivers.{name}", why)

    # --- the parts of a protocol -------------------------------------------------------------------

    def input_rule(self, name: str, entry: Any) -> InputRule:
        place = f"inputs.{name}"
        entry = self.read.table(
            place, entry, ("source",), ("unit", "domain", "spread", "valid_minutes", "assume", "waiver")
        )
        item = self.read.known(name)
        if not isinstance(item, Quantity):
            self.read.fault(place, name, "a quantity named in the contract")
            item = next(each for each in INPUTS.values() if isinstance(each, Quantity))
        unit = self.read.unit(place, entry.get("unit", ""), item.units)
        lowest, highest = self.domain(f"{place}.domain", entry.get("domain"), item, unit)
        spreads = {
            self.read.choice(f"{place}.spread", method, METHODS): self.spread(f"{place}.spread.{method}", given, unit)
            for method, given in self.read.entries(f"{place}.spread", entry.get("spread", {})).items()
        }
        valid = entry.get("valid_minutes")
        minutes = None if valid is None else int(self.read.number(f"{place}.valid_minutes", valid, whole=True))
        if minutes is not None and minutes <= 0:
            self.read.fault(f"{place}.valid_minutes", valid, "a whole number of minutes, more than none")
        assumed = float(self.read.number(f"{place}.assume", entry["assume"], unit)) if "assume" in entry else None
        if assumed is not None and not lowest <= assumed <= highest:
            self.read.fault(f"{place}.assume", entry["assume"], "a value inside the domain")
        if (assumed is None) != ("waiver" not in entry):
            self.read.fault(place, entry.get("assume"), "'assume' together with the 'waiver' that allows it")
        waiver = self.read.word(f"{place}.waiver", entry["waiver"]) if "waiver" in entry else None
        return InputRule(name, lowest, highest, spreads, minutes, assumed, waiver, self.source(place, entry))

    def domain(self, place: str, given: Any, item: Quantity, unit: str) -> tuple[float, float]:
        """Between what values `item` is decided on: up to the worst that a situation may state.

        A domain that ended before would make 'unknown' better than the worst reading.
        """
        if given is None:
            return item.lowest, item.highest
        if not isinstance(given, list) or len(given) != 2:
            self.read.fault(place, given, "a list of the lowest and the highest value")
            return item.lowest, item.highest
        before = len(self.read.errors)
        lowest, highest = (float(self.read.number(place, bound, unit)) for bound in given)
        to_the_worst = highest == item.highest if item.worse == "higher" else lowest == item.lowest
        if len(self.read.errors) == before and not (item.lowest <= lowest < highest <= item.highest and to_the_worst):
            possible = " to ".join(from_si(end, unit, 2) for end in (item.lowest, item.highest))
            self.read.fault(place, given, f"within {possible} {unit}, {item.worse} end included")
        return lowest, highest

    def spread(self, place: str, entry: Any, unit: str) -> Spread:
        entry = self.read.table(place, entry, (), ("plus_minus", "relative"))
        return Spread(
            self.read.not_negative(f"{place}.plus_minus", entry.get("plus_minus", "0"), unit),
            self.read.not_negative(f"{place}.relative", entry.get("relative", "0")),
        )

    def factor(self, place: str, entry: Any) -> Factor | None:
        entry = self.read.table(place, entry, ("id", "input", "points", "source"), ("unit", "note"))
        item = self.read.known(entry.get("input"))
        unit = entry.get("unit", "")
        points = entry.get("points")
        if item is None or isinstance(item, Configuration):
            self.read.fault(f"{place}.input", entry.get("input"), "a quantity or category named in the contract")
            return None
        if not isinstance(points, list) or not all(isinstance(p, list) and len(p) == 2 for p in points):
            self.read.fault(f"{place}.points", points, "a list of [value, points]")
            return None
        before = len(self.read.errors)
        values = [self.place_of(f"{place}.points", item, value, unit) for value, _ in points]
        totals = [self.points(f"{place}.points", total) for _, total in points]
        if len(self.read.errors) > before:
            return None
        sign = -1 if isinstance(item, Quantity) and item.worse == "lower" else 1
        signed = [sign * value for value in values]
        if not points or any(a >= b for a, b in itertools.pairwise(signed)):
            self.read.fault(f"{place}.points", [p[0] for p in points], "values from harmless to worst, each once")
            return None
        if isinstance(item, Category) and [p[0] for p in points] != list(item.values):
            self.read.fault(
                f"{place}.points", [p[0] for p in points], f"every value in order: {', '.join(item.values)}"
            )
            return None
        steps = staircase(signed, totals, sign, ramp=isinstance(item, Quantity))
        shown = tuple((str(value), total) for (value, _), total in zip(points, totals, strict=True))
        return Factor(
            self.read.word(f"{place}.id", entry.get("id")), item.name, unit, shown, steps, self.source(place, entry)
        )

    def points(self, place: str, value: Any) -> int:
        """Points below nothing can be read: that they are wrong is for the proof to show."""
        found = int(self.read.number(place, value, whole=True))
        if abs(found) > MOST_POINTS:
            self.read.fault(place, value, f"at most {MOST_POINTS} points")
        return found

    def place_of(self, place: str, item: Any, value: Any, unit: Any) -> Fraction:
        """A limit's value on the scale of its input: exact SI for a quantity, place in the order for a category."""
        if isinstance(item, Quantity):
            return self.read.number(place, value, self.read.unit(place, unit, item.units))
        if unit:
            self.read.fault(f"{place}.unit", unit, "no unit: this is no quantity")
        return Fraction(item.values.index(self.read.choice(place, value, item.values)))

    def rule(
        self, place: str, entry: Any, required: tuple[str, ...] = (), optional: tuple[str, ...] = ()
    ) -> Rule | None:
        entry = self.read.table(place, entry, ("id", "text", "when", "source", *required), (*optional, "note"))
        if "when" in entry and entry["when"] is None:  # a limit that was abolished, not forgotten
            self.read.word(f"{place}.note", entry.get("note"))
            return None
        condition = self.condition(f"{place}.when", entry.get("when"))
        if condition is None:
            return None
        return Rule(
            id=self.read.word(f"{place}.id", entry.get("id")),
            when=condition,
            text=self.read.word(f"{place}.text", entry.get("text")),
            source=self.source(place, entry),
            effect=self.read.choice(f"{place}.effect", entry["effect"], EFFECTS) if "effect" in entry else "",
            absolute=self.read.choice(f"{place}.absolute", entry.get("absolute", "no"), ("yes", "no")) == "yes",
            flag=self.read.choice(f"{place}.flag", entry["flag"], known.FLAGS) if "flag" in entry else "",
            points=self.points(f"{place}.points", entry["points"]) if "points" in entry else 0,
            owner=self.read.choice(f"{place}.owner", entry["owner"], known.POSITIONS) if "owner" in entry else "",
            serves=self.read.choice(f"{place}.serves", entry["serves"], ("divers", "vehicle"))
            if "serves" in entry
            else "",
        )

    def condition(self, place: str, entry: Any, depth: int = 1) -> Condition | None:
        if depth > DEEPEST:
            self.read.fault(place, "more conditions inside", f"conditions at most {DEEPEST} deep")
            return None
        if isinstance(entry, dict) and set(entry) == {"not"}:
            part = self.condition(f"{place}.not", entry["not"], depth + 1)
            return None if part is None else Not(part)
        joined = {"all", "any", "not"} & set(entry) if isinstance(entry, dict) else set()
        if joined and len(entry) > 1:
            self.read.fault(place, entry, "one of all, any, not, by itself")
            return None
        for word, kind in (("all", AllOf), ("any", AnyOf)):
            if isinstance(entry, dict) and set(entry) == {word}:
                parts = self.read.each(f"{place}.{word}", entry[word], self.condition, depth + 1)
                if entry[word] == []:
                    self.read.fault(f"{place}.{word}", [], "at least one condition")
                return kind(parts) if parts else None
        return self.limit(place, entry)

    def limit(self, place: str, entry: Any) -> Limit | None:
        before = len(self.read.errors)
        entry = self.read.table(place, entry, ("input",), (*COMPARISONS, "unit"))
        if len(self.read.errors) > before:
            return None
        item = self.read.known(entry.get("input"))
        comparisons = [word for word in COMPARISONS if word in entry]
        if item is None or len(comparisons) != 1:
            self.read.fault(place, entry, f"an input of the contract and one of {', '.join(COMPARISONS)}")
            return None
        word, unit = comparisons[0], entry.get("unit", "")
        compare = COMPARISONS[word][isinstance(item, Quantity) and item.worse == "lower"]
        given = entry[word]
        if isinstance(given, dict):
            other = self.read.known(given.get("input"))
            alike = isinstance(other, Quantity) and isinstance(item, Quantity) and other.si == item.si
            if not alike or set(given) != {"input"}:
                self.read.fault(f"{place}.{word}", given, "another quantity of the contract, of the same kind")
                return None
            return Limit(item.name, word, other.name, other.name, "", compare)
        exact = self.place_of(f"{place}.{word}", item, given, unit)
        value = float(exact) if isinstance(item, Quantity) else int(exact)
        return Limit(item.name, word, value, str(given), unit, compare)

    def cross_check(self, found: Protocol) -> None:
        """What no single entry can show: ids used once, domains for every reading, waivers that exist."""
        rules = (*found.combinations, *found.rules, *found.controls, *found.notes)
        ids = [factor.id for factor in found.factors] + [rule.id for rule in rules]
        for name in sorted({name for name in ids if ids.count(name) > 1}):
            self.read.fault(f"id {name}", name, "an id used once")
        # Computations take every reading, whether or not a rule of this protocol looks at it.
        readings = {name for name in INPUTS if name.startswith("readings.")}
        for name in sorted(found.inputs_named | readings):
            if isinstance(INPUTS[name], Quantity) and name not in found.inputs:
                self.read.fault(f"inputs.{name}", None, "domain, spread and source of a reading that the rules use")
        for name, entry in found.inputs.items():
            if entry.waiver and entry.waiver not in found.waivers:
                self.read.fault(f"inputs.{name}.waiver", entry.waiver, "a waiver named under 'waivers'")
        if "computed.no_stop_minutes" in found.inputs_named and found.no_stop_adoption is None:
            self.read.fault("no_stop_adoption", None, "the tables' adoption: a rule reads computed.no_stop_minutes")
        if not found.line_divers <= found.line_nobody_to_save <= found.line_rescue:
            self.read.fault("lines", "the lines cross", "divers <= nobody_to_save <= rescue")


_TOP = (
    "format", "id", "version", "title", "effective_from", "author", "lines", "recheck", "settings", "inputs", "factors",
    "combinations", "rules", "controls", "notes", "waivers", "not_assessed",
)  # fmt: skip
