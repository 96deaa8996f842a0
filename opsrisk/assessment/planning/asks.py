"""What a plan may be told, as questions that a page can draw: words, units with what is possible, choices, columns.

Made from the registry, so that the tablet asks what the computations take and refuses what they refuse.
"""

from collections.abc import Mapping
from fractions import Fraction
from math import ceil, floor
from typing import Any

from opsrisk.assessment.computations.describe import accepted, if_unknown
from opsrisk.assessment.computations.entry import Asked, Rows
from opsrisk.assessment.computations.registry import COMPUTATIONS
from opsrisk.assessment.fields import Choice, Measure, Number, Text, Time
from opsrisk.assessment.planning.subjects import SUBJECTS, only_if_asked
from opsrisk.reference.units import UNITS

Json = dict[str, Any]
NAMES: Mapping[str, str] = {
    "m/s": "metres a second", "kn": "knots", "ft/s": "feet a second", "km/h": "kilometres an hour",
    "mph": "miles an hour", "m": "metres", "ft": "feet", "fsw": "feet of sea water", "msw": "metres of sea water",
    "mm": "millimetres", "cm": "centimetres", "in": "inches", "C": "degrees C", "F": "degrees F", "min": "minutes",
    "h": "hours", "s": "seconds", "N": "newtons", "lbf": "pounds-force", "L": "litres", "ft3": "cubic feet",
    "bar": "bar", "psi": "psi", "kPa": "kilopascals", "kg": "kilograms", "lb": "pounds", "m2": "square metres",
    "ft2": "square feet", "L/min": "litres a minute", "ft3/min": "cubic feet a minute", "deg": "degrees",
    "kHz": "kilohertz", "N/m": "newtons a metre",
}  # fmt: skip
WORDS: Mapping[str, str] = {
    "at": "Time", "stream": "What the line says", "speed": "Speed", "travel": "Time from the dam to here",
    "frequency": "Frequency", "vertical_beam": "Height of the beam", "beam_spacing": "Angle between beams",
    "least_range": "Least range", "greatest_range": "Greatest range", "distance": "Level distance", "depth": "Depth",
    "name": "Name",
}  # fmt: skip
PLACES = 4


def plan_asks() -> Json:
    """For each subject of a plan its title, its question, whether it is worked out unasked, and what it asks."""
    return {
        subject.name: {
            "title": COMPUTATIONS[subject.name].title,
            "question": COMPUTATIONS[subject.name].question,
            "only_if_asked": only_if_asked(subject),
            "asks": [_ask(subject.name, one) for one in COMPUTATIONS[subject.name].asks],
        }
        for subject in SUBJECTS
    }


def _ask(subject: str, one: Asked) -> Json:
    document = _of_shape(one.shape) | {"name": one.name, "field": f"{subject}.{one.name}", "label": one.words}
    return document | {"hint": _hint(one), "needed": is_needed(one), "bounds": one.whole}


def _hint(one: Asked) -> str:
    """What is accepted, and what happens where nobody knows it."""
    range_of = "" if isinstance(one.shape, Choice | Rows) else f"Accepted: {accepted(one)}. "
    unknown = "Needed: without it nothing is worked out." if is_needed(one) else f"Not known: {if_unknown(one)}."
    return range_of + unknown


def is_needed(one: Asked) -> bool:
    return not (one.setting or one.optional or one.is_ranged)


def _of_shape(shape: Any) -> Json:
    """Kind, units and choices of one value; the columns of a list."""
    found: Json = {"kind": "other", "units": [], "choices": [], "columns": []}
    if isinstance(shape, Measure):
        return found | {"kind": "quantity", "units": [_unit(one, shape) for one in shape.units]}
    if isinstance(shape, Number):
        ends = [shape.lowest, shape.highest]
        return found | {"kind": "quantity", "units": [{"unit": "", "name": "", "possible": ends, "usual": ends}]}
    if isinstance(shape, Choice):
        choices = [{"value": one, "label": one.replace("_", " ").capitalize(), "words": ""} for one in shape.values]
        return found | {"kind": "choice", "choices": choices}
    if isinstance(shape, Rows):
        columns = [_column(name, shape.row.fields[name], name in shape.row.required) for name in _ordered(shape)]
        return found | {"kind": "rows", "columns": columns, "least": shape.least, "most": shape.most}
    return found | {"kind": {Time: "time", Text: "text"}.get(type(shape), "other")}


def _ordered(shape: Rows) -> list[str]:
    """Needed columns first."""
    return sorted(shape.row.fields, key=lambda name: name not in shape.row.required)


def _column(name: str, shape: Any, needed: bool) -> Json:
    label = WORDS.get(name, name.replace("_", " ").capitalize())
    return _of_shape(shape) | {"name": name, "field": name, "label": label, "hint": "", "needed": needed}


def _unit(unit: str, shape: Measure) -> Json:
    """A unit with the range that is possible in it, rounded inward: what is let through is taken."""
    _, _, factor, offset = UNITS[unit]
    low, high = ((Fraction(str(end)) - offset) / factor * 10**PLACES for end in (shape.lowest, shape.highest))
    ends = [_short(ceil(low)), _short(floor(high))]
    return {"unit": unit, "name": NAMES.get(unit, unit), "possible": ends, "usual": ends}


def _short(ten_thousandths: int) -> str:
    sign, whole = "-" if ten_thousandths < 0 else "", abs(ten_thousandths)
    text = f"{sign}{whole // 10**PLACES}.{whole % 10**PLACES:0{PLACES}d}"
    return text.rstrip("0").rstrip(".")
