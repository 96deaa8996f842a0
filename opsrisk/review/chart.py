"""Scores over time as an SVG drawing: the shape says the decision, a dashed line a new protocol version.

Medians are drawn for each protocol version by itself; there is no line over two of them.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from html import escape
from statistics import median
from zoneinfo import ZoneInfo

from opsrisk.review.trends import Point

WIDE, HIGH = 1080, 420
LEFT, RIGHT, TOP, BOTTOM = 64, 24, 56, 76
PLOT_WIDE, PLOT_HIGH = WIDE - LEFT - RIGHT, HIGH - TOP - BOTTOM
MOST_POINTS = 1000
ROW_MISSING = 22  # under the axis: assessments without a score
SHAPES = {
    "divers": '<circle cx="{x}" cy="{y}" r="6" fill="none"/>',
    "divers_with_controls": '<circle cx="{x}" cy="{y}" r="6" fill="none"/><path d="M{left} {y}h20"/>',
    "vehicle_first": '<rect x="{x6}" y="{y6}" width="12" height="12" fill="none"/>',
    "vehicle_only": '<path d="M{x} {y8}l8 8-8 8-8-8z" fill="none"/>',
    "hold": '<rect x="{x9}" y="{y4}" width="18" height="8" class="solid"/>',
}


def chart(points: Sequence[Point], words: dict[str, str], zone: ZoneInfo) -> str:
    """The drawing of `points`, the oldest first; `words` gives the decisions' names."""
    shown = points
    if not shown:
        return ""
    axis = _Time(shown[0].at, shown[-1].at)
    parts = [*_grid(), *_months(axis, zone), *_versions(shown, axis), *_points(shown, axis, words, zone)]
    scored = sum(point.score is not None for point in shown)
    title = (
        f"Scores of {scored} of {len(shown)} assessments over time, 0 to 100; the table below says the same in words"
    )
    return (
        f'<svg class="trend" viewBox="0 0 {WIDE} {HIGH}" role="img" aria-label="{escape(title)}">{"".join(parts)}</svg>'
    )


class _Time:
    """Places moments across the plot, with a margin of a fiftieth on either side."""

    def __init__(self, first: datetime, last: datetime) -> None:
        spare = max((last - first) / 50, timedelta(hours=12))
        self.start, self.length = first - spare, last - first + 2 * spare

    def at(self, moment: datetime) -> float:
        share = min(1.0, max(0.0, (moment - self.start) / self.length))
        return round(LEFT + share * PLOT_WIDE, 1)


def _up(score: float) -> float:
    return round(TOP + PLOT_HIGH * (1 - score / 100), 1)


def _grid() -> Iterator[str]:
    for score in range(0, 101, 20):
        y = _up(score)
        yield f'<path class="grid" d="M{LEFT} {y}H{WIDE - RIGHT}"/>'
        yield f'<text x="{LEFT - 10}" y="{y + 5}" text-anchor="end">{score}</text>'
    yield f'<text x="{LEFT - 10}" y="{TOP + PLOT_HIGH + ROW_MISSING + 5}" text-anchor="end">none</text>'
    yield f'<text x="4" y="{TOP - 34}">Score, points of 100</text>'


def _months(axis: _Time, zone: ZoneInfo) -> Iterator[str]:
    """A tick at the first of each month, thinned out to what has room; the days where there is no such tick."""
    first, last = axis.start.astimezone(zone), (axis.start + axis.length).astimezone(zone)
    month = first.replace(day=1, hour=0, minute=0, second=0, microsecond=0)
    ticks = []
    while month <= last:
        if month >= first:
            ticks.append((month, f"{month:%Y-%m}"))
        month = (month + timedelta(days=32)).replace(day=1)
    if len(ticks) < 2:
        ticks = [(first, f"{first:%Y-%m-%d}"), (last, f"{last:%Y-%m-%d}")]
    step = -(-len(ticks) // 10)
    for moment, words in ticks[::step]:
        x = min(max(axis.at(moment), LEFT + 40), WIDE - RIGHT - 40)
        yield f'<path class="axis" d="M{axis.at(moment)} {TOP + PLOT_HIGH}v6"/>'
        yield f'<text x="{x}" y="{HIGH - 8}" text-anchor="middle">{words}</text>'


def _versions(points: Sequence[Point], axis: _Time) -> Iterator[str]:
    """A dashed line where another protocol version begins to decide, its name, and its own median."""
    versions = list(dict.fromkeys(point.version for point in points))
    for place, version in enumerate(versions):
        own = [point for point in points if point.version == version]
        x, end = axis.at(own[0].at), axis.at(own[-1].at)
        label = TOP - 14 + (place % 2) * -18
        if place:
            yield f'<path class="version" d="M{x - 9} {label + 4}V{TOP + PLOT_HIGH}"/>'
        anchor = "end" if x > WIDE * 0.8 else "start"
        yield f'<text class="version" x="{x}" y="{label}" text-anchor="{anchor}">{escape(version)}</text>'
        scores = [point.score for point in own if point.score is not None]
        if scores:
            yield f'<path class="middle" d="M{x} {_up(median(scores))}H{max(end, x + 8)}"/>'


def _points(points: Sequence[Point], axis: _Time, words: dict[str, str], zone: ZoneInfo) -> Iterator[str]:
    for point in points:
        x = axis.at(point.at)
        when = f"{point.at.astimezone(zone):%Y-%m-%d %H:%M}"
        said = f"{when}: {words.get(point.decision, point.decision)}, {point.version}"
        if point.score is None:
            cross = f"M{x - 5} {TOP + PLOT_HIGH + ROW_MISSING - 5}l10 10m0-10l-10 10"
            yield f'<g class="point"><title>{escape(said)}, no score</title><path d="{cross}"/></g>'
            continue
        y = _up(point.score)
        places = {"x": x, "y": y, "left": x - 10, "x6": x - 6, "y6": y - 6, "y8": y - 8, "x9": x - 9, "y4": y - 4}
        shape = SHAPES.get(point.decision, SHAPES["hold"]).format(**places)
        yield f'<g class="point"><title>{escape(said)}, score {point.score}</title>{shape}</g>'
