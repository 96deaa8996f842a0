"""Entries of a protocol document in words: what a limit says, what it does, where it comes from."""

from collections.abc import Iterator, Mapping
from typing import Any

from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.protocols.places import LISTS, Place

# What a comparison is called, where higher values of a quantity are worse, where lower ones are, and for a category.
COMPARISON_WORDS = {
    "worse_than": ("over {}", "under {}", "worse than {}"),
    "as_bad_as": ("{} or more", "{} or less", "{} or worse"),
    "better_than": ("under {}", "over {}", "better than {}"),
    "no_worse_than": ("{} or less", "{} or more", "{} or better"),
    "is": ("{}", "{}", "{}"),
}
EFFECT_WORDS = {
    "missing": "Hold: something needed is missing",
    "stop_everybody": "Stop for everybody",
    "stop_divers": "Stop for divers",
    "trigger": "Vehicle first",
    "trigger_that_holds": "Vehicle first; without a vehicle, hold",
    "vehicle_unable": "The vehicle cannot do the work",
}
KIND_WORDS = {"published": "published", "practice": "common practice", "agency": "agency's choice"}
LINE_WORDS = {"divers": "Divers up to", "nobody_to_save": "Nobody to save, up to", "rescue": "Rescue, up to"}
HEADING_WORDS = {"title": "Title", "version": "Version", "effective_from": "Meant to hold from", "note": "Note"}
SETTING_WORDS = {
    "submersion_cold_water": "Water at or under which the longer survival window holds",
    "submersion_warm_minutes": "Survival window in warmer water",
    "submersion_cold_minutes": "Survival window in cold water",
    "tether_slack": "Tether out, over the straight distance, at which the vehicle must still hold",
    "tether_reach_ratio": "Tether needed for each metre of depth",
    "tether_normal_drag": "Drag coefficient of the tether across the stream",
    "gas_rate": "Breathing gas a minute at ambient pressure",
    "gas_ascent_minutes": "Breathing gas kept back for the way out, as time at depth",
}
METHOD_WORDS = {"measured": "Measured", "estimated": "Estimated", "reported": "Reported", "forecast": "Forecast"}
ABOLISHED = "never: this limit is abolished"
JOINS = (("all", ", and "), ("any", "; or "))


def source_words(source: Mapping[str, Any]) -> str:
    """Where a number comes from, in words."""
    if source["kind"] != "published":
        return KIND_WORDS[source["kind"]]
    place = f"{source['document']}, {source['where']}" if source.get("where") else source["document"]
    told = {"memory": " (from memory, not compared)", "second-hand": " (as quoted by others)"}
    return str(place) + told.get(source.get("status", ""), "")


def condition_words(condition: Mapping[str, Any] | None) -> str:
    """A condition as a sentence: 'Visibility worse than 5 ft, and ...'."""
    if condition is None:
        return ABOLISHED
    for join, word in JOINS:
        if join in condition:
            return word.join(_inside(part, join) for part in condition[join])
    if "not" in condition:
        return f"not ({condition_words(condition['not'])})"
    comparison = comparison_of(condition)
    limit = condition[comparison]
    against = label(limit["input"]).lower() if isinstance(limit, Mapping) else f"{limit} {condition.get('unit', '')}"
    return f"{label(condition['input'])} is {limit_words(condition['input'], comparison, against.strip())}"


def comparison_of(limit: Mapping[str, Any]) -> str:
    """Which comparison a single limit makes. Raises StopIteration for what is no limit."""
    return next(name for name in COMPARISON_WORDS if name in limit)


def limit_words(name: str, comparison: str, against: str) -> str:
    """'over 1.0 kn', 'under 5 ft', 'light or worse'; for the worst value of a category, that value alone."""
    item = INPUTS.get(name)
    if isinstance(item, Quantity):
        return COMPARISON_WORDS[comparison][item.worse == "lower"].format(against)
    alone = item is not None and comparison == "as_bad_as" and against == item.values[-1]
    return (against if alone else COMPARISON_WORDS[comparison][2].format(against)).replace("_", " ")


def _inside(part: Mapping[str, Any], join: str) -> str:
    """A part of 'and' or 'or'; one of the other kind stands in brackets, so that no reader has to guess."""
    mixed = any(other in part for other, _ in JOINS if other != join)
    return f"({condition_words(part)})" if mixed else condition_words(part)


def label(name: str) -> str:
    return INPUTS[name].label if name in INPUTS else name


def title_of(place: Place, entry: Any) -> str:
    """What an entry is called."""
    if place.section in LISTS:
        return label(entry["input"]) if place.section == "factors" else str(entry["text"])
    named = {"heading": HEADING_WORDS, "lines": LINE_WORDS, "settings": SETTING_WORDS}.get(place.section, {})
    whole = {"recheck": "Look again after", "not_assessed": "What is not assessed"}.get(place.section)
    return whole or named.get(place.id) or label(place.id).replace("_", " ")


def aspects(place: Place, entry: Any) -> dict[str, str]:
    """Everything that `entry` says, each as a label and its text, in the order in which it is read."""
    if isinstance(entry, str):
        return {"Text": entry}
    if isinstance(entry, list):
        return {f"{number}.": text for number, text in enumerate(entry, 1)}
    says = {"factors": _factor, "inputs": _input, "lines": _line}
    found = says.get(place.section, _rule if place.section in LISTS else _value)(entry)
    return dict(found) | _source(entry)


def _line(entry: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "Value", f"{entry['value']} points"


def _value(entry: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    if entry.get("text"):
        yield "Says", entry["text"]
    yield "Value", f"{entry['value']} {entry.get('unit', '')}".strip()


def _factor(entry: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "Reading", label(entry["input"])
    for value, points in entry["points"]:
        at = f"{value} {entry.get('unit', '')}".strip().replace("_", " ")
        yield f"At {at}", f"{points} points"


def _rule(entry: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    yield "Says", entry["text"]
    yield "When", condition_words(entry["when"])
    if "effect" in entry:
        yield "Does", EFFECT_WORDS[entry["effect"]]
        yield "May be overridden", "no, it is absolute" if entry.get("absolute") == "yes" else "yes, by two people"
    if "points" in entry:
        yield "Adds", f"{entry['points']} points"
    if "owner" in entry:
        yield "Owner", entry["owner"].replace("_", " ")
        yield "Serves", entry["serves"]
    if "flag" in entry:
        yield "Flag", entry["flag"].replace("_", " ")


def _input(entry: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    unit = entry.get("unit", "")
    if entry.get("domain"):
        yield "May be", "from {} to {} {}".format(*entry["domain"], unit).strip()
    for how, spread in entry.get("spread", {}).items():
        yield f"{METHOD_WORDS[how]}, may be off by", spread_words(spread, unit) or "nothing"
    if entry.get("valid_minutes"):
        yield "Holds for", f"{entry['valid_minutes']} min"
    if "assume" in entry:
        yield "Not known is taken as", f"{entry['assume']} {unit}".strip()
        yield "Under the waiver", entry["waiver"].replace("_", " ")


def spread_words(spread: Mapping[str, str], unit: str) -> str:
    """'±0.5 ft or ±10 %': the larger of the two counts."""
    fixed = f"±{spread['plus_minus']} {unit}".strip() if float(spread.get("plus_minus", "0")) else ""
    share = f"±{float(spread['relative']) * 100:g} %" if float(spread.get("relative", "0")) else ""
    return " or ".join(part for part in (fixed, share) if part)


def _source(entry: Mapping[str, Any]) -> dict[str, str]:
    source = entry["source"]
    found = {"Source": source_words(source)}
    for name, given in (("Note on the source", source.get("note")), ("Note", entry.get("note"))):
        if given:
            found[name] = given
    return found
