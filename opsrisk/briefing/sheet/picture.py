"""The decision map of a decision document as an SVG drawing: one picture for paper, page and tablet.

Regions are told apart by letter and border; the light greys only help. Everything is at least 9 pt.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from html import escape
from typing import Any

from opsrisk.assessment.words import CAUTION_ORDER, decision_word, number, one_line
from opsrisk.briefing.sheet.blocks import Block, Row
from opsrisk.briefing.sheet.given import Given

LETTERS = dict(zip(CAUTION_ORDER, "DCFOH", strict=True))
# Black letters keep 15 to 1 on the darkest of these.
GREYS = dict(zip(CAUTION_ORDER, ("#fff", "#f6f6f6", "#eee", "#e6e6e6", "#dedede"), strict=True))
LEFT, TOP, WIDE, HIGH = 36.0, 18.0, 440.0, 88.0  # the plot, in points
TICK_GAP, SMALLEST = 26.0, 13.0


@dataclass(frozen=True)
class Axis:
    """One reading on one side of the map; `at` places a value in points from the plot's corner."""

    label: str
    edges: tuple[str, ...]
    value: str
    low: str
    high: str
    length: float

    @classmethod
    def of(cls, drawn: Mapping[str, Any], length: float) -> "Axis":
        known = "" if drawn.get("known") else ", not known: taken at its worst"
        label = f"{one_line(drawn.get('label'))}, {drawn.get('unit')}{known}"
        return cls(label, tuple(drawn["edges"]), drawn["value"], drawn["low"], drawn["high"], length)

    def at(self, value: str) -> float:
        low, high = float(self.edges[0]), float(self.edges[-1])
        share = (float(value) - low) / (high - low) if high > low else 0.0
        return round(min(1.0, max(0.0, share)) * self.length, 1)

    def ticks(self) -> Iterator[tuple[float, str]]:
        """The edges by value, without those that would print over their neighbour."""
        last = -TICK_GAP
        for edge in self.edges:
            if self.at(edge) - last >= TICK_GAP:
                last = self.at(edge)
                yield last, number(edge)


def decision_map(given: Given) -> Block | None:
    """The map with its key, or None where the document has none."""
    drawn = given.decision.get("map")
    if not isinstance(drawn, Mapping):
        return None
    shown = {name for row in drawn["cells"] for name in row}
    key = tuple(Row(label=LETTERS[name], value=decision_word(name)) for name in CAUTION_ORDER if name in shown)
    key = (*key, Row(label="Cross", value="this operation"), Row(label="Dashed", value="the bounds of its readings"))
    return Block("map", "Decision map, all else equal", key, "map", picture=_svg(drawn))


def _svg(drawn: Mapping[str, Any]) -> str:
    x, y = Axis.of(drawn["x"], WIDE), Axis.of(drawn["y"], HIGH)
    parts = [*_regions(x, y, drawn["cells"]), *_borders(x, y, drawn["cells"]), *_letters(x, y, drawn["cells"])]
    parts += [*_here(x, y), *_axes(x, y)]
    title = f"Decision map: {x.label} across, {y.label} upwards"
    view = f"0 0 {LEFT + WIDE + 14:g} {TOP + HIGH + 34:g}"
    named = f'class="map" role="img" aria-label="{escape(title)}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {named} font-family="Sheet, sans-serif" viewBox="{view}">'
    return (
        f"{head}<title>{escape(title)}</title>{''.join(parts)}</svg>"  # the title becomes the figure's words in the PDF
    )


def _box(x: Axis, y: Axis, i: int, j: int, end: int) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of the cells `i` to before `end` of row `j`, on the drawing."""
    bottom, top = TOP + HIGH - y.at(y.edges[j]), TOP + HIGH - y.at(y.edges[j + 1])
    return LEFT + x.at(x.edges[i]), top, LEFT + x.at(x.edges[end]), bottom


def _runs(row: list[str]) -> Iterator[tuple[int, int]]:
    """Stretches of one decision in a row: from, to before."""
    start = 0
    for i in range(1, len(row) + 1):
        if i == len(row) or row[i] != row[start]:
            yield start, i
            start = i


def _regions(x: Axis, y: Axis, cells: list[list[str]]) -> Iterator[str]:
    for j, row in enumerate(cells):
        for i, end in _runs(row):
            left, top, right, bottom = _box(x, y, i, j, end)
            size = f'width="{right - left:.1f}" height="{bottom - top:.1f}"'
            yield f'<rect x="{left:.1f}" y="{top:.1f}" {size} fill="{GREYS.get(row[i], "#fff")}"/>'


def _borders(x: Axis, y: Axis, cells: list[list[str]]) -> Iterator[str]:
    """A line wherever two neighbours decide differently."""
    path = []
    for j, row in enumerate(cells):
        for i, name in enumerate(row):
            left, top, right, bottom = _box(x, y, i, j, i + 1)
            if i and row[i - 1] != name:
                path.append(f"M{left:.1f} {top:.1f}V{bottom:.1f}")
            if j and cells[j - 1][i] != name:
                path.append(f"M{left:.1f} {bottom:.1f}H{right:.1f}")
    yield f'<path d="{"".join(path)}" fill="none" stroke="#000" stroke-width="1.2"/>'


def _letters(x: Axis, y: Axis, cells: list[list[str]]) -> Iterator[str]:
    """A letter in each stretch that has room for one, not repeated straight above itself."""
    below: dict[tuple[int, int], str] = {}
    for j, row in enumerate(cells):
        here: dict[tuple[int, int], str] = {}
        for i, end in _runs(row):
            left, top, right, bottom = _box(x, y, i, j, end)
            roomy = right - left >= SMALLEST and bottom - top >= SMALLEST
            if roomy or below.get((i, end)) == row[i]:
                here[(i, end)] = row[i]
            if roomy and below.get((i, end)) != row[i]:
                yield _text((left + right) / 2, (top + bottom) / 2 + 4, LETTERS.get(row[i], "?"), "middle", 11)
        below = here


def _here(x: Axis, y: Axis) -> Iterator[str]:
    across, up = LEFT + x.at(x.value), TOP + HIGH - y.at(y.value)
    left, right = LEFT + x.at(x.low), LEFT + x.at(x.high)
    top, bottom = TOP + HIGH - y.at(y.high), TOP + HIGH - y.at(y.low)
    size = f'width="{right - left:.1f}" height="{bottom - top:.1f}"'
    dashed = 'fill="none" stroke="#000" stroke-width="1" stroke-dasharray="3 2"'
    yield f'<rect x="{left:.1f}" y="{top:.1f}" {size} {dashed}/>'
    yield f'<path d="M{across - 5:.1f} {up:.1f}h10M{across:.1f} {up - 5:.1f}v10" stroke="#000" stroke-width="2.4"/>'


def _axes(x: Axis, y: Axis) -> Iterator[str]:
    yield f'<rect x="{LEFT:g}" y="{TOP:g}" width="{WIDE:g}" height="{HIGH:g}" fill="none" stroke="#000"/>'
    for place, words in x.ticks():
        yield _text(LEFT + place, TOP + HIGH + 12, words, "middle")
    for place, words in y.ticks():
        yield _text(LEFT - 4, TOP + HIGH - place + 3, words, "end")
    yield _text(LEFT + WIDE / 2, TOP + HIGH + 27, f"Across: {x.label}", "middle")
    yield _text(0, 11, f"Upwards: {y.label}", "start")


def _text(x: float, y: float, words: str, anchor: str, size: int = 9) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{size}">{escape(words)}</text>'
