"""What the editor asks: one form for one entry. Forms only read; whether an entry may be is the protocol reader's."""

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from django import forms

from opsrisk.engine.inputs import FLAGS, INPUTS, POSITIONS, Category, Quantity
from opsrisk.engine.parts import EFFECTS, SETTINGS
from opsrisk.protocols.conditions import Line, lines, part_at, replaced
from opsrisk.protocols.places import LISTS, Place
from opsrisk.protocols.words import (
    COMPARISON_WORDS,
    EFFECT_WORDS,
    KIND_WORDS,
    METHOD_WORDS,
    comparison_of,
    limit_words,
    title_of,
)
from opsrisk.reference.units import UNITS, dimension

STATUS_WORDS = {"read": "read in the document", "second-hand": "as quoted by others", "memory": "from memory"}
SPARE = 3  # empty rows for further breakpoints
NONE = ("", "none")


def plain(value: str) -> str:
    return value.replace("_", " ")


def choices(values: Any, words: Mapping[str, str] | None = None) -> list[tuple[str, str]]:
    return [(value, (words or {}).get(value, plain(value))) for value in values]


def text(label: str, **given: Any) -> forms.CharField:
    """A field that keeps what was typed: spaces are stripped, nothing else."""
    return forms.CharField(label=label, required=False, **given)


def long_text(label: str, **given: Any) -> forms.CharField:
    return text(label, widget=forms.Textarea(attrs={"rows": 3}), **given)


def choice(label: str, of: list[tuple[str, str]], **given: Any) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=of, required=False, **given)


def number(label: str, **given: Any) -> forms.CharField:
    # Never a number input: scrolling over one changes its value unseen.
    attrs = {"inputmode": "decimal", "autocomplete": "off", "class": "short"}
    return text(label, widget=forms.TextInput(attrs=attrs), **given)


class EntryForm(forms.Form):
    """One entry of a document, from `entry` as it stands or as it was typed."""

    sourced = True

    def __init__(self, data: Any = None, *, document: Mapping[str, Any], place: Place, entry: Any) -> None:
        super().__init__(data)
        self.document, self.place, self.given = document, place, entry
        self.ask(entry)
        if self.sourced:
            self._ask_source(entry.get("source", {}), entry.get("note", ""))
        self.is_valid()

    def ask(self, entry: Any) -> None:
        raise NotImplementedError

    def value(self) -> Any:
        """The entry as typed, without id and source."""
        raise NotImplementedError

    def source(self) -> dict[str, str] | None:
        if not self.sourced:
            return None
        given = {name: self.typed(f"source_{name}") for name in ("kind", "document", "where", "status", "note")}
        if given["kind"] != "published":
            given["status"] = ""
        return {name: value for name, value in given.items() if value}

    def entry(self) -> Any:
        """The entry as typed, as the document would hold it."""
        source = self.source()
        return self.value() if source is None else {**self.value(), "source": source}

    def typed(self, name: str) -> str:
        """What stands in the field, also where it is none of its choices."""
        found = self.data.get(self.add_prefix(name), "") if self.is_bound else self.fields[name].initial or ""
        return str(found).strip()

    def field_of(self, rest: str) -> str | None:
        """The field that a fault of the protocol's reader is about, from what follows the entry in its place."""
        name = rest.replace(".", "_")
        return name if name in self.fields else None

    def unit(self) -> dict[str, str]:
        """The unit as typed; where there is nothing to choose, as it is written."""
        if "unit" in self.fields:
            return {"unit": self.typed("unit")}
        return {"unit": self.given["unit"]} if "unit" in self.given else {}

    def noted(self) -> dict[str, str]:
        return {"note": found} if "note" in self.fields and (found := self.typed("note")) else {}

    def add(self, name: str, field: forms.Field, initial: Any = "") -> None:
        field.initial = initial
        self.fields[name] = field

    def _ask_source(self, source: Mapping[str, str], note: str) -> None:
        self.add("source_kind", choice("Source", choices(KIND_WORDS, KIND_WORDS)), source.get("kind", "agency"))
        self.add("source_document", text("Document", help_text="Only for a published source."), source.get("document"))
        self.add("source_where", text("Where in it"), source.get("where"))
        status = [NONE, *choices(STATUS_WORDS, STATUS_WORDS)]
        self.add("source_status", choice("How it is known", status), source.get("status"))
        self.add("source_note", text("Note on the source"), source.get("note"))
        if self.place.section != "inputs":  # which have no note of their own
            self.add("note", text("Note on the entry"), note)

    @property
    def source_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if name.startswith("source_") or name == "note"]

    @property
    def own_fields(self) -> list[forms.BoundField]:
        shown = {field.name for field in self.source_fields} if self.sourced else set()
        return [field for field in self.visible_fields() if field.name not in shown | set(self.laid_out())]

    def laid_out(self) -> set[str]:
        """Fields that stand in a table of their own."""
        return set()


class WordsForm(EntryForm):
    """A heading, a waiver, the list of what is not assessed."""

    sourced = False

    def ask(self, entry: Any) -> None:
        words = "\n".join(entry) if isinstance(entry, list) else entry or ""
        if self.place.section == "heading" and self.place.id in ("version", "effective_from"):
            self.add("words", text(title_of(self.place, entry)), words)
        else:
            label = {"waivers": "Reason", "not_assessed": "One thing on each line"}.get(self.place.section)
            self.add("words", long_text(label or title_of(self.place, entry)), words)

    def value(self) -> Any:
        words = self.typed("words")
        if self.place.section == "not_assessed":
            return [line.strip() for line in words.splitlines() if line.strip()]
        return words if self.place.section == "heading" else " ".join(words.split())

    def field_of(self, rest: str) -> str | None:
        return "words"


class ValueForm(EntryForm):
    """A line of the score, the re-check interval, a number that computations use."""

    def ask(self, entry: Any) -> None:
        if self.place.section == "settings":
            self.add("text", text("Says"), entry.get("text"))
        self.add("value", number("Value"), entry.get("value"))
        kind = {"lines": "", "recheck": "min"}.get(self.place.section, SETTINGS.get(self.place.id, ""))
        if kind:
            self.add("unit", choice("Unit", choices(_same_kind(kind))), entry.get("unit", kind))

    def value(self) -> Any:
        found = {name: self.typed(name) for name in ("text", "value", "unit") if name in self.fields}
        return {name: value for name, value in found.items() if value or name == "value"} | self.noted()

    def field_of(self, rest: str) -> str | None:
        return super().field_of(rest) or ("value" if not rest else None)


class FactorForm(EntryForm):
    """Points along a reading: breakpoints for a quantity, one number for each value of a category."""

    def ask(self, entry: Any) -> None:
        item = INPUTS[entry["input"]]
        self.quantity = isinstance(item, Quantity)
        if isinstance(item, Quantity) and any(item.units):
            self.add("unit", choice("Unit", choices(item.units)), entry.get("unit", item.units[0]))
        rows = list(entry.get("points", []))
        if isinstance(item, Category):
            given = dict(rows)
            rows = [[value, given.get(value, "")] for value in item.values]
        else:
            rows += [["", ""]] * SPARE
        for place, (value, points) in enumerate(rows):
            if self.quantity:
                self.add(f"value_{place}", number(f"Breakpoint {place + 1}"), value)
            else:
                self.add(f"value_{place}", forms.CharField(widget=forms.HiddenInput, required=False), value)
            name = f"Points at breakpoint {place + 1}" if self.quantity else f"Points for {plain(value)}"
            self.add(f"points_{place}", number(name), points)

    def rows(self) -> Iterator[tuple[str, forms.BoundField | None, forms.BoundField]]:
        """Each breakpoint: its name, its value (for a quantity) and its points."""
        for name in self.fields:
            if name.startswith("points_"):
                at = self[name.replace("points", "value")]
                yield ("", at, self[name]) if self.quantity else (plain(str(at.value())), None, self[name])

    def laid_out(self) -> set[str]:
        return {name for name in self.fields if re.fullmatch(r"(value|points)_\d+", name)}

    def value(self) -> Any:
        places = [name.removeprefix("points_") for name in self.fields if name.startswith("points_")]
        rows = [[self.typed(f"value_{place}"), self.typed(f"points_{place}")] for place in places]
        made = {"input": self.given["input"], "points": [row for row in rows if any(row)]}
        return made | self.unit() | self.noted()

    def field_of(self, rest: str) -> str | None:
        return super().field_of(rest) or ("points_0" if rest.startswith("points") else None)


class InputForm(EntryForm):
    """What a reading may be, how far it may be off by the way it was had, how long it holds."""

    def ask(self, entry: Any) -> None:
        item = INPUTS[self.place.id]
        assert isinstance(item, Quantity)  # noqa: S101 - the protocol's reader lets nothing else in
        if any(item.units):
            self.add("unit", choice("Unit", choices(item.units)), entry.get("unit", item.units[0]))
        lowest, highest = entry.get("domain") or ("", "")
        self.add("lowest", number("Lowest that is decided on"), lowest)
        self.add("highest", number("Highest that is decided on"), highest)
        if "spread" in entry:
            for how, word in METHOD_WORDS.items():
                spread = entry["spread"].get(how, {})
                self.add(f"spread_{how}_plus_minus", number(f"{word}: off by ±"), spread.get("plus_minus"))
                share = number(f"{word}: or off by this share", help_text="0.10 is ten of a hundred.")
                self.add(f"spread_{how}_relative", share, spread.get("relative"))
        minutes = number("Minutes that a reading holds", help_text="Empty: until it is taken again.")
        self.add("valid_minutes", minutes, entry.get("valid_minutes"))
        self.add("assume", number("Not known is taken as", help_text="Empty: the worst."), entry.get("assume"))
        waivers = [NONE, *choices(self.document["waivers"])]
        self.add("waiver", choice("Under the waiver", waivers), entry.get("waiver"))

    def value(self) -> Any:
        made: dict[str, Any] = dict(self.unit())
        domain = [self.typed("lowest"), self.typed("highest")]
        made |= {"domain": domain} if any(domain) else {}
        spread = {}
        for how in METHOD_WORDS if "spread_measured_relative" in self.fields else ():
            parts = {part: self.typed(f"spread_{how}_{part}") for part in ("plus_minus", "relative")}
            spread[how] = {part: value for part, value in parts.items() if value}
        made |= {"spread": {how: parts for how, parts in spread.items() if parts}} if spread else {}
        made |= {name: found for name in ("valid_minutes", "assume", "waiver") if (found := self.typed(name))}
        return made | self.noted()

    def field_of(self, rest: str) -> str | None:
        return super().field_of(rest) or {"domain": "lowest", "": "assume"}.get(rest)


class RuleForm(EntryForm):
    """A rule, combination, control or note: when it fires, and what it does."""

    def ask(self, entry: Any) -> None:
        self.condition = self._condition(entry.get("when"))
        self.add("text", long_text("Says"), entry.get("text"))
        section = self.place.section
        if section == "rules":
            self.add("effect", choice("Does", choices(EFFECTS, EFFECT_WORDS)), entry.get("effect", "stop_divers"))
            absolute = [("no", "Yes, with a reason and by two people"), ("yes", "No, it is absolute")]
            self.add("absolute", choice("May be overridden", absolute), entry.get("absolute", "no"))
        if section == "combinations":
            self.add("points", number("Adds points"), entry.get("points"))
        if section == "controls":
            self.add("owner", choice("Owner", choices(POSITIONS)), entry.get("owner"))
            serves = [("divers", "the divers"), ("vehicle", "the vehicle")]
            self.add("serves", choice("Serves", serves), entry.get("serves"))
        if section != "combinations":
            self.add(
                "flag", choice("Flag", [*([] if section == "notes" else [NONE]), *choices(FLAGS)]), entry.get("flag")
            )
        tree = forms.CharField(widget=forms.HiddenInput, required=False)
        self.add("tree", tree, json.dumps(self.condition))
        for line in self.limits():
            self._ask_limit(line)

    def _condition(self, stored: Any) -> Any:
        """What the page carried along, which may hold limits that were not saved yet; else what is stored."""
        if not self.is_bound or "tree" not in self.data:
            return stored
        try:
            found = json.loads(self.data["tree"])
            for line in lines(found):
                if line.limit is not None:
                    INPUTS[line.limit["input"]], comparison_of(line.limit)
            return found if isinstance(found, dict) else stored
        except (ValueError, LookupError, TypeError, StopIteration, RecursionError):
            return stored

    def limits(self) -> list[Line]:
        return [line for line in lines(self.condition) if line.limit is not None]

    def _ask_limit(self, line: Line) -> None:
        limit = line.limit or {}
        name, comparison = limit["input"], comparison_of(limit)
        item, given = INPUTS[name], limit[comparison]
        offered = choices(
            COMPARISON_WORDS,
            {word: limit_words(name, word, "is …" if word == "is" else "…") for word in COMPARISON_WORDS},
        )
        self.add(f"comparison_{line.path}", choice(f"{item.label}: how", offered), comparison)
        if isinstance(given, Mapping):  # against another reading, which stays
            return
        if isinstance(item, Quantity):
            self.add(f"against_{line.path}", number(f"{item.label}: limit"), given)
            if any(item.units):
                unit = choice(f"{item.label}: unit", choices(item.units))
                self.add(f"unit_{line.path}", unit, limit.get("unit", item.units[0]))
        else:
            self.add(f"against_{line.path}", choice(f"{item.label}: value", choices(item.values)), given)

    def condition_rows(self) -> Iterator[dict[str, Any]]:
        """Every line of the condition with its fields."""
        for line in lines(self.condition):
            row: dict[str, Any] = {"line": line, "depth": min(line.depth, 8)}
            if line.limit is not None:
                for part in ("comparison", "against", "unit"):
                    name = f"{part}_{line.path}"
                    row[part] = self[name] if name in self.fields else None
                row["label"] = INPUTS[line.limit["input"]].label
                other = line.limit[comparison_of(line.limit)]
                row["other"] = INPUTS[other["input"]].label.lower() if isinstance(other, Mapping) else ""
            yield row

    def laid_out(self) -> set[str]:
        return {name for name in self.fields if name.startswith(("comparison_", "against_", "unit_"))}

    def when(self) -> Any:
        """The condition as typed."""
        made = self.condition
        for line in self.limits():
            limit = part_at(self.condition, line.path)
            former = comparison_of(limit)
            against = f"against_{line.path}"
            value = self.typed(against) if against in self.fields else limit[former]
            typed = {"input": limit["input"], self.typed(f"comparison_{line.path}") or former: value}
            if f"unit_{line.path}" in self.fields:
                typed["unit"] = self.typed(f"unit_{line.path}")
            made = replaced(made, line.path, typed)
        return made

    def value(self) -> Any:
        names = [name for name in ("text", "effect", "flag", "points", "owner", "serves") if name in self.fields]
        made: dict[str, Any] = {name: self.typed(name) for name in names}
        made = {name: value for name, value in made.items() if value or name in ("text", "points")}
        if self.typed("absolute") == "yes" if "absolute" in self.fields else False:
            made["absolute"] = "yes"
        return made | {"when": self.when()} | self.noted()

    def field_of(self, rest: str) -> str | None:
        """'when.all[0].any[1].worse_than' is the limit at '0-1'."""
        if not rest.startswith("when"):
            return super().field_of(rest)
        path = "-".join("n" if step == "not" else step[4:-1] for step in re.findall(r"all\[\d+\]|any\[\d+\]|not", rest))
        return next((name for name in (f"against_{path}", f"comparison_{path}") if name in self.fields), None)


def form_for(section: str) -> type[EntryForm]:
    if section in ("heading", "waivers", "not_assessed"):
        return WordsForm
    return {"factors": FactorForm, "inputs": InputForm}.get(section, RuleForm if section in LISTS else ValueForm)


def _same_kind(unit: str) -> list[str]:
    return [each for each in UNITS if dimension(each) == dimension(unit)]
