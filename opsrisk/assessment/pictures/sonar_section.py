"""The upright section through sonar and target: beam, bottom, what hides behind a ridge, and the target."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import cos, hypot, radians, sin

from opsrisk.assessment.pictures.reading import Json, amount, answers_of, length_unit
from opsrisk.assessment.pictures.svg import (
    FAINT,
    INK,
    PALE,
    QUIET,
    SMALL_SIZE,
    Point,
    Scale,
    line,
    path,
    picture,
    plain,
    rectangle,
    shape,
    ticks,
    words,
)

HIGH, TOP, BOTTOM, LEFT, RIGHT = 320.0, 40.0, 262.0, 46.0, 466.0
BOTTOM_FILL, SHADOW_FILL, BEAM_FILL = "#9aa1a7", "#50585f", PALE


def sonar_section(number: Json) -> str:
    """The drawing of a plan's number `sonar_look`."""
    given, answers, unit = number["given"], answers_of(number), length_unit(number)
    bottom = [(amount(row["distance"], unit) or 0.0, amount(row["depth"], unit) or 0.0) for row in given["bottom"]]
    sonar = (0.0, amount(given["sonar_depth"], unit) or 0.0)
    far = amount(given["target_distance"], unit) or 0.0
    tall, wide = (amount(given[name], unit) or 0.0 for name in ("target_height", "target_width"))
    bottom = _clipped(bottom, far * 1.25)
    depths = [depth for _, depth in bottom] + [sonar[1]]
    margin = max(0.6 * (max(depths) - min(depths)), 0.12 * bottom[-1][0])
    down = Scale(max(0.0, min(depths) - margin), max(depths) + 0.35 * margin, TOP, BOTTOM)
    across = Scale(0.0, bottom[-1][0], LEFT, RIGHT)
    foot = _depth_at(bottom, far)
    parts = [
        *_axes(across, down, unit),
        *_beam(number, answers, sonar, (across, down)),
        shape([*((across(x), down(z)) for x, z in bottom), (RIGHT, BOTTOM), (LEFT, BOTTOM)], fill=BOTTOM_FILL),
        *_shadow(bottom, sonar, far, across, down),
        path([(across(x), down(z)) for x, z in bottom], width=2.5),
        *_target(across(far), down(foot), (max(7.0, across(wide) - LEFT), down(foot) - down(foot - tall)), answers),
        rectangle((across(0), down(sonar[1]) - 6), (across(0) + 16, down(sonar[1]) + 6), fill=INK),
        words((across(0) + 2, down(sonar[1]) - 12), "sonar", size=SMALL_SIZE),
    ]
    return picture("sonar", HIGH, title=number["headline"], description=_described(number), parts=parts)


def _clipped(bottom: Sequence[Point], far: float) -> list[Point]:
    """The bottom up to a little past the target."""
    if bottom[-1][0] <= far:
        return list(bottom)
    kept = [point for point in bottom if point[0] < far]
    return [*kept, (far, _depth_at(bottom, far))]


def _depth_at(bottom: Sequence[Point], x: float) -> float:
    for (x0, z0), (x1, z1) in pairwise(bottom):
        if x <= x1:
            return z0 + (z1 - z0) * (x - x0) / (x1 - x0)
    return bottom[-1][1]


def _axes(across: Scale, down: Scale, unit: str) -> Iterator[str]:
    yield words((LEFT - 38, 18), "Depth and distance", bold=True)
    yield words((RIGHT, 18), unit, anchor="end", size=SMALL_SIZE)
    for depth in ticks(down.low, down.high, 5):
        yield line((LEFT, down(depth)), (RIGHT, down(depth)), ink=FAINT, width=0.8)
        yield words((LEFT - 6, down(depth) + 5), plain(depth), anchor="end", size=SMALL_SIZE)
    for distance in ticks(0.0, across.high, 6):
        yield line((across(distance), BOTTOM), (across(distance), BOTTOM + 5), ink=INK)
        yield words((across(distance), BOTTOM + 20), plain(distance), anchor="middle", size=SMALL_SIZE)


def _mode(number: Json, answers: dict[str, Json]) -> Json | None:
    return next((row for row in number["given"]["modes"] if row["name"] == answers["mode"].get("value")), None)


def _beam(number: Json, answers: dict[str, Json], sonar: Point, scales: tuple[Scale, Scale]) -> Iterator[str]:
    """The upright beam of the chosen mode at the chosen tilt, to the end of its range or of the picture."""
    mode, tilt = _mode(number, answers), answers["tilt"].get("value")
    across, down = scales
    if mode is None or tilt is None:
        return
    half = (amount(mode["vertical_beam"], "deg") or 0.0) / 2
    reach = min(amount(mode["greatest_range"], length_unit(number)) or 0.0, hypot(across.high, down.high - down.low))
    edges = [
        (sonar[0] + reach * cos(radians(angle)), sonar[1] + reach * sin(radians(angle)))
        for angle in (float(tilt) - half, float(tilt) + half)
    ]
    drawn = [_inside((across(x), down(z)), (across(sonar[0]), down(sonar[1]))) for x, z in edges]
    start = (across(sonar[0]), down(sonar[1]))
    yield shape([start, *_around_the_corner(drawn)], fill=BEAM_FILL)
    for end in drawn:
        yield line(start, end, ink=QUIET, width=1.2, dash="6 3")


def _inside(end: Point, start: Point) -> Point:
    """The end of a ray, cut where it leaves the picture."""
    share = 1.0
    for value, begin, low, high in ((end[0], start[0], LEFT, RIGHT), (end[1], start[1], TOP, BOTTOM)):
        if value > high:
            share = min(share, (high - begin) / (value - begin))
        elif value < low:
            share = min(share, (low - begin) / (value - begin))
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def _around_the_corner(edges: Sequence[Point]) -> list[Point]:
    """Both edges, with the corner of the picture between them where one leaves at the side and one below."""
    upper, lower = edges
    if abs(upper[0] - RIGHT) < 0.5 and abs(lower[1] - BOTTOM) < 0.5:
        return [upper, (RIGHT, BOTTOM), lower]
    return [upper, lower]


def _shadow(bottom: Sequence[Point], sonar: Point, far: float, across: Scale, down: Scale) -> Iterator[str]:
    """What the highest ridge on the way hides: between the line of sight over it and the bottom behind."""
    ridges = [(z - sonar[1]) / x for x, z in bottom if 0 < x < far]
    if not ridges:
        return
    slope = min(ridges)
    ridge = next((x, z) for x, z in bottom if 0 < x < far and (z - sonar[1]) / x == slope)
    behind = [point for point in bottom if point[0] > ridge[0]]
    hidden = [ridge]
    for x, z in [*_between(ridge, behind)]:
        sight = sonar[1] + slope * x
        if z > sight + 1e-9:
            hidden.append((x, z))
        else:
            break
    if len(hidden) < 2:
        return
    ends = hidden[-1][0]
    outline = [*hidden, (ends, min(sonar[1] + slope * ends, hidden[-1][1]))]
    yield shape([(across(x), down(z)) for x, z in outline], fill=SHADOW_FILL)
    yield line(
        (across(0.0), down(sonar[1])), (across(ends), down(sonar[1] + slope * ends)), ink=INK, width=1.5, dash="2 3"
    )


def _between(ridge: Point, behind: Sequence[Point]) -> Iterator[Point]:
    """The bottom behind a ridge in small steps."""
    before = ridge
    for point in behind:
        for step in range(1, 21):
            share = step / 20
            yield before[0] + share * (point[0] - before[0]), before[1] + share * (point[1] - before[1])
        before = point


def _target(x: float, foot: float, size: Point, answers: dict[str, Json]) -> Iterator[str]:
    """The target with what is said of it: white where it shows, black where it is hidden."""
    verdict = "may show" if "any_of" in answers["verdict"] else str(answers["verdict"]["value"])
    fill = {"will show": "#ffffff", "may show": FAINT}.get(verdict, INK)
    wide, tall = size
    yield rectangle((x - wide / 2, foot - max(7.0, tall)), (x + wide / 2, foot), fill=fill, ink=INK, width=2.5)
    yield words((min(x, RIGHT - 60), foot - max(7.0, tall) - 9), f"target: {verdict}", anchor="middle", bold=True)


def _described(number: Json) -> str:
    answers = answers_of(number)
    why = answers["why"].get("value") or " or ".join(answers["why"].get("any_of", ()))
    return f"Section through sonar, bottom and target. {number['headline']}. The target is {why}."
