"""The bands of a factor drawn as a strip: points over the reading, harmless on the left, worse to the right.

Marked on it are the limits that rules and combinations set on the same reading, so that a number is seen beside
the others it has to fit. Plain SVG without style, readable in grey.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from string import ascii_uppercase
from typing import Any

from opsrisk.engine.inputs import INPUTS, Quantity
from opsrisk.protocols.words import COMPARISON_WORDS, EFFECT_WORDS, limit_words
from opsrisk.reference.units import to_si

WIDTH, HEIGHT = 720.0, 168.0
LEFT, RIGHT, TOP, FLOOR = 24.0, 696.0, 44.0, 120.0
LETTER = 9.5  # width of a letter at the size of the labels
INK, BAND, EDGE = "#14181c", "#c9d3da", "#3c454d"
SIZE = 16


@dataclass(frozen=True)
class Mark:
    """A limit on the strip's reading: where, and what happens there."""

    letter: str
    value: str
    words: str


@dataclass(frozen=True)
class Strip:
    svg: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class _Limit:
    at: float
    value: str
    words: str


def strip(document: Mapping[str, Any], factor: Mapping[str, Any]) -> Strip:
    """The strip of `factor`, with the limits that `document` sets on its reading."""
    item = INPUTS[factor["input"]]
    most = max(int(points) for each in document["factors"] for _, points in each["points"])
    if not isinstance(item, Quantity):
        return Strip(_drawn(item.label, _columns(factor["points"], most)), ())
    sign = -1 if item.worse == "lower" else 1
    unit = factor.get("unit", "")
    bends = [(sign * to_si(value, unit), value, int(points)) for value, points in factor["points"]]
    found = sorted(_limits(document, factor["input"], sign), key=lambda limit: limit.at)
    places = sorted({limit.at for limit in found})
    letters = dict(zip(places, ascii_uppercase, strict=False))
    ends = [at for at, _, _ in bends] + places
    low, high = min(ends), max(ends)
    spare = (high - low) * 0.06 or 1.0

    def across(at: float) -> float:
        return LEFT + (at - low + spare) / (high - low + 2 * spare) * (RIGHT - LEFT)

    shape = [(across(at), points) for at, _, points in bends]
    parts = [*_ground(shape, most), *(_line(across(at), letter) for at, letter in letters.items())]
    parts += [*_profile(shape, most, [across(at) for at in places])]
    parts += _labels([(across(at), f"{value} {unit}".strip()) for at, value, _ in bends], FLOOR + 18)
    marks = tuple(Mark(letters[limit.at], limit.value, limit.words) for limit in found if limit.at in letters)
    return Strip(_drawn(item.label, parts), marks)


def _limits(document: Mapping[str, Any], name: str, sign: int) -> Iterator[_Limit]:
    for rule in (*document["rules"], *document["combinations"]):
        does = EFFECT_WORDS[rule["effect"]] if "effect" in rule else f"adds {rule['points']} points"
        for limit in leaves(rule["when"]):
            word = next((word for word in COMPARISON_WORDS if word in limit), "")
            if limit.get("input") == name and isinstance(limit.get(word), str):
                unit = limit.get("unit", "")
                value = limit_words(name, word, f"{limit[word]} {unit}".strip())
                yield _Limit(sign * to_si(limit[word], unit), value, f"{does}: {rule['text']}")


def leaves(condition: Mapping[str, Any] | None) -> Iterator[Any]:
    """Every single limit of a condition as it is written, in the order in which it is read."""
    if condition is None:
        return
    if "not" in condition:
        yield from leaves(condition["not"])
    elif "all" in condition or "any" in condition:
        for part in condition.get("all") or condition["any"]:
            yield from leaves(part)
    else:
        yield condition


def _height(points: int, most: int) -> float:
    return FLOOR - points / (most or 1) * (FLOOR - TOP)


def _ground(bends: Sequence[tuple[float, int]], most: int) -> Iterator[str]:
    """What lies under the points; beyond the ends the end totals hold."""
    ends = [(LEFT, bends[0][1]), *bends, (RIGHT, bends[-1][1])]
    line = " ".join(f"{x:.1f},{_height(points, most):.1f}" for x, points in ends)
    yield f'<polygon points="{LEFT},{FLOOR} {line} {RIGHT},{FLOOR}" fill="{BAND}"/>'


def _profile(bends: Sequence[tuple[float, int]], most: int, limits: Sequence[float]) -> Iterator[str]:
    """The points as a line from breakpoint to breakpoint, each with its number, beside a limit's line where one is."""
    ends = [(LEFT, bends[0][1]), *bends, (RIGHT, bends[-1][1])]
    line = " ".join(f"{x:.1f},{_height(points, most):.1f}" for x, points in ends)
    yield f'<polyline points="{line}" fill="none" stroke="{INK}" stroke-width="3"/>'
    yield f'<path d="M{LEFT} {FLOOR}H{RIGHT}" stroke="{EDGE}" stroke-width="2"/>'
    for x, points in bends:
        yield f'<circle cx="{x:.1f}" cy="{_height(points, most):.1f}" r="4" fill="{INK}"/>'
        crossed = any(abs(x - limit) < 2 * LETTER for limit in limits)
        yield _text(x - 7 * crossed, _height(points, most) - 9, str(points), "end" if crossed else "middle", bold=True)


def _columns(points: Sequence[Sequence[str]], most: int) -> Iterator[str]:
    """A category: one column a value."""
    wide = (RIGHT - LEFT) / len(points)
    for number, (value, total) in enumerate(points):
        x, top = LEFT + number * wide, _height(int(total), most)
        yield (
            f'<rect x="{x + 4:.1f}" y="{top:.1f}" width="{wide - 8:.1f}" height="{FLOOR - top:.1f}" fill="{BAND}" '
            f'stroke="{EDGE}" stroke-width="2"/>'
        )
        yield _text(x + wide / 2, top - 9, total, "middle", bold=True)
        yield _text(x + wide / 2, FLOOR + 18, value.replace("_", " "), "middle")
    yield f'<path d="M{LEFT} {FLOOR}H{RIGHT}" stroke="{EDGE}" stroke-width="2"/>'


def _labels(texts: Sequence[tuple[float, str]], y: float) -> Iterator[str]:
    """Labels under the axis; one that would touch the label before it goes a row lower."""
    taken = [0.0, 0.0]
    for x, text in texts:
        half = len(text) * LETTER / 2
        row = 0 if x - half > taken[0] else 1
        taken[row] = x + half + LETTER
        yield _text(min(max(x, half), WIDTH - half), y + row * 20, text, "middle")


def _line(x: float, letter: str) -> str:
    dashes = f'<path d="M{x:.1f} 26V{FLOOR}" stroke="{INK}" stroke-width="2" stroke-dasharray="5 4"/>'
    return dashes + _text(x, 18, letter, "middle", bold=True)


def _text(x: float, y: float, text: str, anchor: str, *, bold: bool = False) -> str:
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{SIZE}"{weight} fill="{INK}" text-anchor="{anchor}" '
        'stroke="#ffffff" stroke-width="4" paint-order="stroke">'
        f"{escape(text)}</text>"
    )


def _drawn(label: str, parts: Iterator[str] | Sequence[str]) -> str:
    said = f"Points for {label.lower()}: harmless on the left, worse to the right"
    view = f'viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}"'
    return f'<svg class="strip" {view} role="img" aria-label="{escape(said)}">{"".join(parts)}</svg>'
