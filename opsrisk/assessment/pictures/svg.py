"""Drawing as SVG text: shapes in black and grey, so that a photocopy says the same as a screen.

No style attribute and no style sheet: a page's content policy forbids them, and the same text stands on paper.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

Point = tuple[float, float]
INK, QUIET, FAINT, PALE = "#14181c", "#3c454d", "#b9bec2", "#e6e8ea"
TEXT_SIZE, SMALL_SIZE = 15, 13
WIDE = 480.0
FACE = "Atkinson Hyperlegible, DejaVu Sans, sans-serif"
RIM = ' stroke="#ffffff" stroke-width="3" paint-order="stroke" stroke-linejoin="round"'


@dataclass(frozen=True)
class Scale:
    """A straight axis: `low` of the data at `start` of the picture, `high` at `end`."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        span = self.high - self.low or 1.0
        return self.start + (value - self.low) / span * (self.end - self.start)


def _number(value: float) -> str:
    text = f"{value:.1f}"
    return text.removesuffix(".0") if text != "-0.0" else "0"


def picture(name: str, high: float, *, title: str, description: str, parts: Iterable[str]) -> str:
    """The whole drawing; `title` and `description` are its text alternative, `name` makes their ids unique."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_number(WIDE)} {_number(high)}" role="img" '
        f'aria-labelledby="{name}-title {name}-description" font-family="{FACE}" font-size="{TEXT_SIZE}" fill="{INK}">'
    )
    words = f'<title id="{name}-title">{escape(title)}</title>'
    words += f'<desc id="{name}-description">{escape(description)}</desc>'
    ground = rectangle((0, 0), (WIDE, high), fill="#ffffff")
    return f"{head}{words}{ground}{''.join(parts)}</svg>"


def line(a: Point, b: Point, *, ink: str = INK, width: float = 1.5, dash: str = "") -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    ends = f'x1="{_number(a[0])}" y1="{_number(a[1])}" x2="{_number(b[0])}" y2="{_number(b[1])}"'
    return f'<line {ends} stroke="{ink}" stroke-width="{_number(width)}"{dashes}/>'


def path(points: Sequence[Point], *, ink: str = INK, width: float = 1.5, fill: str = "none", dash: str = "") -> str:
    """Straight pieces through `points`."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    ends = " ".join(f"{_number(x)},{_number(y)}" for x, y in points)
    return f'<polyline points="{ends}" fill="{fill}" stroke="{ink}" stroke-width="{_number(width)}"{dashes}/>'


def shape(points: Sequence[Point], *, fill: str = PALE, ink: str = "none", width: float = 1.0) -> str:
    """A closed and filled outline."""
    ends = " ".join(f"{_number(x)},{_number(y)}" for x, y in points)
    return f'<polygon points="{ends}" fill="{fill}" stroke="{ink}" stroke-width="{_number(width)}"/>'


def rectangle(a: Point, b: Point, *, fill: str = PALE, ink: str = "none", width: float = 1.0) -> str:
    left, right = sorted((a[0], b[0]))
    top, bottom = sorted((a[1], b[1]))
    size = f'width="{_number(right - left)}" height="{_number(bottom - top)}"'
    return (
        f'<rect x="{_number(left)}" y="{_number(top)}" {size} fill="{fill}" stroke="{ink}" '
        f'stroke-width="{_number(width)}"/>'
    )


def dot(at: Point, radius: float, *, fill: str = INK) -> str:
    return f'<circle cx="{_number(at[0])}" cy="{_number(at[1])}" r="{_number(radius)}" fill="{fill}"/>'


def arrow(a: Point, b: Point, *, ink: str = INK, width: float = 1.5, head: float = 6.0) -> str:
    """A line with a head at `b`; only a dot where it would be shorter than its head."""
    across, down = b[0] - a[0], b[1] - a[1]
    length = (across**2 + down**2) ** 0.5
    if length < head:
        return dot(a, 1.5, fill=ink)
    u, v = across / length, down / length
    back = (b[0] - head * u, b[1] - head * v)
    wings = [
        (back[0] - head * 0.45 * v, back[1] + head * 0.45 * u),
        b,
        (back[0] + head * 0.45 * v, back[1] - head * 0.45 * u),
    ]
    return line(a, back, ink=ink, width=width) + shape(wings, fill=ink)


def words(
    at: Point, text: str, *, anchor: str = "start", size: float = TEXT_SIZE, bold: bool = False, ink: str = INK
) -> str:
    """Text with a white rim, so that it can be read across lines."""
    weight = ' font-weight="700"' if bold else ""
    place = f'x="{_number(at[0])}" y="{_number(at[1])}"'
    return (
        f'<text {place} text-anchor="{anchor}" font-size="{_number(size)}"{weight} fill="{ink}"{RIM}>'
        f"{escape(text)}</text>"
    )


def ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Round numbers from `low` to `high`, at most about `most` of them."""
    span = high - low
    if span <= 0:
        return [low]
    step = 1.0
    for power in range(-3, 5):
        for base in (1.0, 2.0, 5.0):
            step = base * 10.0**power
            if span / step <= most:
                first = -(-low // step) * step
                return [first + step * place for place in range(int((high - first) / step + 1e-9) + 1)]
    return [low, high]


def plain(value: float) -> str:
    """A number of an axis or a caption: no more digits than it needs."""
    if abs(value) >= 20:
        return f"{value:.0f}"
    return f"{value:.2f}".rstrip("0").rstrip(".") if abs(value) >= 0.005 else "0"
