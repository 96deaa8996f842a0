"""Two revisions of one assessment put together, field by field.

What only one side changed is taken over. Where both changed the same field, a person chooses; until then the worse
stands, because a reading that somebody saw does not go away by being overtaken. What has no order of better and
worse stands as not known, which the decision takes at its worst.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Any

from opsrisk.assessment.fields import SHAPE, Group
from opsrisk.assessment.record import canonical
from opsrisk.assessment.words import UNKNOWN, input_label
from opsrisk.engine.inputs import INPUTS, POSITIONS, Category, Quantity
from opsrisk.reference.units import UNITS

KEPT = ("format", "assessed_at")  # of the sitting, not of the water
WHOLE = ("vehicle", *(f"positions.{name}" for name in POSITIONS))  # belong together: taken or chosen as one
# Not inputs of a decision themselves, but worse in one direction all the same.
WORSE = {
    "dive.gas.cylinder_volume": "lower",
    "dive.gas.pressure": "lower",
    "dive.gas.reserve": "higher",
}
TEXTS = ("site.latitude", "site.longitude", "site.altitude", "site.window_source")
ABSENT = object()
SIDES = ("mine", "theirs")

Json = dict[str, Any]


class NotMergeable(ValueError):
    """The message names the field, what was given and what is accepted."""


@dataclass(frozen=True)
class Conflict:
    field: str
    base: Any
    mine: Any
    theirs: Any
    stands: Any
    because: str
    chosen: str  # "" until a person chose a side


def merge(base: Json | None, mine: Json, theirs: Json, chosen: Mapping[str, str] | None = None) -> Json:
    """The situation of both, the fields taken over from `theirs`, and the conflicts with what stands meanwhile.

    `base` is the situation that both revised; None where they have none in common. `chosen` says for fields in
    conflict which side a person took. Raises NotMergeable for a choice that is none.
    """
    sides = [dict(units(one)) for one in (base or {}, mine, theirs)]
    fields = sorted({field for side in sides for field in side})
    taken: list[Json] = []
    conflicts: list[Conflict] = []
    result: dict[str, Any] = {}
    for field in fields:
        before, ours, other = (side.get(field, ABSENT) for side in sides)
        if _same(ours, other) or _same(other, before) or (base is None and other is ABSENT):
            result[field] = ours
        elif _same(ours, before) or (base is None and ours is ABSENT):
            result[field] = other
            taken.append({"field": field, "label": _label(field), "before": _shown(ours), "now": _shown(other)})
        else:
            found = _conflict(field, before, ours, other, (chosen or {}).get(field, ""))
            conflicts.append(found)
            result[field] = found.stands
    _check(chosen or {}, {one.field for one in conflicts})
    document = built(result) | {name: mine[name] for name in KEPT if name in mine}
    return {"situation": document, "taken": taken, "conflicts": [_document(one) for one in conflicts]}


def units(document: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """The fields of a situation that change as one: a reading with its unit and time, a position, a person."""
    for section, given in document.items():
        if section == "people" and isinstance(given, list):
            yield from ((f"people.{person['id']}", person) for person in given)
        elif section not in KEPT:
            yield from _units(section, given, SHAPE.fields.get(section))


def built(fields: Mapping[str, Any]) -> Json:
    """The document of such fields; the reverse of `units`."""
    document: Json = {}
    for field, value in fields.items():
        if value is ABSENT:
            continue
        section, _, name = field.partition(".")
        if section == "people" and name:
            listed = document.get("people")
            document["people"] = [*(listed if isinstance(listed, list) else []), value]
            continue
        at, names = document, field.split(".")
        for parent in names[:-1]:
            inner = at.get(parent)
            at[parent] = inner if isinstance(inner, dict) else {}  # a section known in part is no longer unknown
            at = at[parent]
        if not (isinstance(at.get(names[-1]), dict) and value == UNKNOWN):
            at[names[-1]] = value
    return document


def _units(path: str, given: Any, shape: Any) -> Iterator[tuple[str, Any]]:
    if isinstance(given, dict) and isinstance(shape, Group) and path not in WHOLE:
        for name, inner in given.items():
            yield from _units(f"{path}.{name}", inner, shape.fields.get(name))
    else:
        yield path, given


def _same(one: Any, other: Any) -> bool:
    if one is ABSENT or other is ABSENT:
        return one is other
    return canonical(one) == canonical(other)


def _conflict(field: str, before: Any, mine: Any, theirs: Any, chosen: str) -> Conflict:
    sides = {"mine": mine, "theirs": theirs}
    if chosen in sides:
        stands, because = sides[chosen], "chosen"
    else:
        stands, because = worse(field, mine, theirs)
    return Conflict(field, _shown(before), _shown(mine), _shown(theirs), stands, because, chosen)


def worse(field: str, mine: Any, theirs: Any) -> tuple[Any, str]:
    """Which of two values stands until a person chooses, and why."""
    if field in TEXTS:
        return (theirs if mine is ABSENT else mine), "no bearing on the decision: this tablet's stands"
    if field.startswith("positions.") and isinstance(mine, dict) and isinstance(theirs, dict):
        return _worse_parts(field, mine, theirs), "the worse of each part stands"
    if field.startswith("people."):
        return _worse_person(mine, theirs)
    if any(one is ABSENT or one is None or _is_unknown(one) for one in (mine, theirs)):
        return UNKNOWN, "one side does not know: not known stands"
    rank = _rank(field)
    if rank is None:
        return UNKNOWN, "neither is worse: not known stands"
    return (mine if rank(mine) >= rank(theirs) else theirs), "the worse stands"


def _is_unknown(value: Any) -> bool:
    return value == UNKNOWN or (isinstance(value, dict) and value.get("value") == UNKNOWN)


def _rank(field: str) -> Callable[[Any], Any] | None:
    """How bad a value of `field` is, as something that can be compared; None without an order."""
    item = INPUTS.get(field)
    if isinstance(item, Category):
        return item.values.index
    if isinstance(item, Quantity) or field in WORSE:
        higher = (item.worse if isinstance(item, Quantity) else WORSE[field]) == "higher"
        return lambda reading: _worst_end(reading, higher=higher)
    if field == "site.window_ends":
        return lambda moment: -datetime.fromisoformat(moment).timestamp()  # the earlier end
    return None


def _worst_end(reading: Mapping[str, Any], *, higher: bool) -> Fraction:
    """The worst that the reading may mean, in the exact base unit; larger is worse."""
    _, _, factor, offset = UNITS[reading["unit"]]
    ends = [Fraction(str(reading[name])) for name in ("low", "value", "high") if name in reading]
    found = [end * factor + offset for end in ends]
    return max(found) if higher else -min(found)


def _worse_parts(field: str, mine: Mapping[str, Any], theirs: Mapping[str, Any]) -> Json:
    """A position: of each state the worse; the person only where both name the same."""
    found: Json = {}
    for name in sorted({*mine, *theirs}):
        one, other = mine.get(name, UNKNOWN), theirs.get(name, UNKNOWN)
        if name == "person":
            if one == other:
                found[name] = one
        else:
            found[name] = one if one == other else UNKNOWN if UNKNOWN in (one, other) else "no"
    return found


def _worse_person(mine: Any, theirs: Any) -> tuple[Json, str]:
    """Somebody of the crew: less fit, longer awake, more dives, only the papers that both know of.

    A list of people can only make the answer more cautious: whoever stands on one of the two stays on it.
    """
    if mine is ABSENT or theirs is ABSENT:
        return (theirs if mine is ABSENT else mine), "one side took the person off: the person stays"
    found = dict(mine)
    for name in ("fit", "hours_awake", "dives_24h"):
        one, other = mine.get(name, UNKNOWN), theirs.get(name, UNKNOWN)
        if one == other:
            continue
        if UNKNOWN in (one, other):
            found[name] = UNKNOWN
        else:
            found[name] = "no" if name == "fit" else max(one, other, key=Fraction)
    papers = [one.get("qualifications", []) for one in (mine, theirs)]
    both = UNKNOWN if UNKNOWN in papers else [each for each in papers[0] if each in papers[1]]
    return found | {"qualifications": both}, "the worse of each part stands"


def _check(chosen: Mapping[str, str], conflicts: set[str]) -> None:
    for field, side in chosen.items():
        if side not in SIDES:
            raise NotMergeable(f"{field}: given {side}; accepted: {' or '.join(SIDES)}")
        if field not in conflicts:
            raise NotMergeable(f"{field}: given a choice; accepted: choices where both sides changed the same")


def _shown(value: Any) -> Any:
    return None if value is ABSENT else value


def _document(one: Conflict) -> Json:
    return {
        "field": one.field,
        "label": _label(one.field),
        "base": one.base,
        "mine": one.mine,
        "theirs": one.theirs,
        "stands": _shown(one.stands),
        "because": one.because,
        "chosen": one.chosen,
    }


def _label(field: str) -> str:
    return "Somebody of the crew" if field.startswith("people") else input_label(field)
