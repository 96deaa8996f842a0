"""The tether from the side and from above, with the current that shapes it and what it comes near to."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import cos, radians, sin

from opsrisk.assessment.pictures.reading import Json, amount, answers_of, cell, length_unit
from opsrisk.assessment.pictures.svg import (
    FAINT,
    INK,
    PALE,
    QUIET,
    SMALL_SIZE,
    Point,
    Scale,
    arrow,
    dot,
    line,
    path,
    picture,
    plain,
    rectangle,
    shape,
    ticks,
    words,
)

HIGH, TOP, SIDE_BOTTOM, ABOVE_MIDDLE = 400.0, 34.0, 262.0, 340.0
LEFT, RIGHT, PROFILE_LEFT, PROFILE_WIDE = 126.0, 462.0, 48.0, 62.0
ARROWS = 5
MOSTLY_ACROSS = 0.35  # of the current, along the picture: less than that shows no direction in it


def tether_view(number: Json) -> str:
    """The drawing of a plan's number `tether_shape`."""
    answers, unit = answers_of(number), length_unit(number)
    rows = answers["line"]["rows"]
    points = [(cell(row, "along"), cell(row, "aside"), cell(row, "depth")) for row in rows]
    deepest = max(point[2] for point in points)
    along = Scale(min(0.0, *(p[0] for p in points)), max(p[0] for p in points), LEFT + 18, RIGHT - 26)
    down = Scale(0.0, deepest * 1.12 or 1.0, TOP + 14, SIDE_BOTTOM)
    parts = [
        *_water(down, deepest, unit),
        *_profile(number, down, unit),
        *_obstacles(number, along, down, unit),
        *_line([(along(x), down(z)) for x, _, z in points]),
        *_above(number, points, along, unit),
    ]
    return picture("tether", HIGH, title=number["headline"], description=_described(number), parts=parts)


def _water(down: Scale, deepest: float, unit: str) -> Iterator[str]:
    yield words((PROFILE_LEFT - 40, 18), "From the side", bold=True)
    yield rectangle((LEFT, down(0)), (RIGHT, SIDE_BOTTOM), fill=PALE)
    yield line((LEFT, down(0)), (RIGHT, down(0)), width=2)
    for depth in ticks(0.0, deepest, 5):
        yield line((LEFT, down(depth)), (RIGHT, down(depth)), ink=FAINT, width=0.8)
        yield words((LEFT - 6, down(depth) + 5), plain(depth), anchor="end", size=SMALL_SIZE)
    yield words((RIGHT, SIDE_BOTTOM + 15), f"depth and distance in {unit}", anchor="end", size=SMALL_SIZE)


def _speeds(number: Json, unit: str) -> list[tuple[float, float]]:
    """The current as (depth, knots), shallow to deep."""
    given = number["given"]
    rows = given.get("profile")
    if isinstance(rows, list) and rows:
        return [(amount(row["depth"], unit) or 0.0, amount(row["speed"], "kn") or 0.0) for row in rows]
    current = amount(given.get("current"), "kn")
    return [] if current is None else [(0.0, current)]


def _speed_at(rows: Sequence[tuple[float, float]], depth: float) -> float:
    """Straight between the rows, constant beyond, as the tether was computed."""
    if depth <= rows[0][0]:
        return rows[0][1]
    for (d0, v0), (d1, v1) in pairwise(rows):
        if depth <= d1:
            return v0 + (v1 - v0) * (depth - d0) / (d1 - d0)
    return rows[-1][1]


def _profile(number: Json, down: Scale, unit: str) -> Iterator[str]:
    """The current by depth as arrows left of the water, the strongest and the lowest with their knots."""
    rows = _speeds(number, unit)
    if not rows:
        return
    greatest = max(speed for _, speed in rows) or 1.0
    deepest = down.high / 1.12
    toward = cos(_bearing(number))
    across = abs(toward) < MOSTLY_ACROSS
    said = "current, across" if across else "current, kn"
    yield words((PROFILE_LEFT - 40, SIDE_BOTTOM + 15), said, size=SMALL_SIZE)
    for place in range(ARROWS):
        depth = deepest * place / (ARROWS - 1)
        speed = _speed_at(rows, depth)
        y = down(depth)
        left, right = (PROFILE_LEFT - 40, y), (PROFILE_LEFT - 40 + PROFILE_WIDE * speed / greatest, y)
        if across:
            yield line(left, right, ink=QUIET) + dot(left, 3, fill=QUIET)
        else:
            yield arrow(*((left, right) if toward > 0 else (right, left)), ink=QUIET)
        if place in (0, ARROWS - 1):
            yield words((PROFILE_LEFT - 34, y - 5), f"{speed:.1f} kn", size=SMALL_SIZE)


def _obstacles(number: Json, along: Scale, down: Scale, unit: str) -> Iterator[str]:
    for row in number["given"].get("obstacles") or []:
        x = along(amount(row["along"], unit) or 0.0)
        x_to = along(amount(row.get("to_along"), unit) or amount(row["along"], unit) or 0.0)
        top, foot = down(amount(row["depth"], unit) or 0.0), down(amount(row["to_depth"], unit) or 0.0)
        yield line((x, top), (x_to, foot), ink=QUIET, width=5)
        yield words((x + 6, min(foot, SIDE_BOTTOM) - 6), row["name"], size=SMALL_SIZE)


def _line(points: Sequence[Point]) -> Iterator[str]:
    """The tether itself, the platform as a triangle on the surface, the vehicle as a block."""
    vehicle, platform = points[0], points[-1]
    yield path(points, width=2.5)
    yield shape(
        [(platform[0] - 9, platform[1] - 12), (platform[0] + 9, platform[1] - 12), platform], fill=INK
    )  # fmt: skip
    yield words((platform[0] + 13, platform[1] - 5), "platform", size=SMALL_SIZE)
    yield rectangle((vehicle[0] - 10, vehicle[1] - 6), (vehicle[0] + 10, vehicle[1] + 6), fill=INK)
    yield words((vehicle[0] + 12, vehicle[1] + 22), "vehicle", anchor="end", size=SMALL_SIZE)


def _above(number: Json, points: Sequence[tuple[float, float, float]], along: Scale, unit: str) -> Iterator[str]:
    """From above: the bow of the line to one side, and where the current goes."""
    reach = max((abs(point[1]) for point in points), default=0.0)
    scale = Scale(0.0, max(reach, (along.high - along.low) * 0.08), 0.0, 44.0)
    flat = [(along(x), ABOVE_MIDDLE + scale(y)) for x, y, _ in points]
    yield words((PROFILE_LEFT - 40, SIDE_BOTTOM + 40), "From above", bold=True)
    yield line((along(0.0), ABOVE_MIDDLE), flat[0], ink=FAINT, dash="5 4")
    yield path(flat, width=2.5)
    yield dot(flat[-1], 5)
    yield rectangle((flat[0][0] - 10, flat[0][1] - 6), (flat[0][0] + 10, flat[0][1] + 6), fill=INK)
    for row in number["given"].get("obstacles") or []:
        x, y = amount(row["along"], unit) or 0.0, amount(row["aside"], unit) or 0.0
        spot = (along(x), ABOVE_MIDDLE + max(-52.0, min(52.0, scale(y))))
        yield rectangle((spot[0] - 4, spot[1] - 4), (spot[0] + 4, spot[1] + 4), fill=QUIET)
    turn = _bearing(number)
    middle = (PROFILE_LEFT + 2, ABOVE_MIDDLE)
    tip = (26 * cos(turn), -26 * sin(turn))
    yield arrow((middle[0] - tip[0], middle[1] - tip[1]), (middle[0] + tip[0], middle[1] + tip[1]), width=3, head=10)
    yield words((PROFILE_LEFT - 40, HIGH - 8), "current", size=SMALL_SIZE)


def _bearing(number: Json) -> float:
    """Where the vehicle lies from the platform, off the way the current goes; across where nobody said."""
    bearing = amount(number["given"].get("bearing"), "deg")
    return radians(90.0 if bearing is None else bearing)


def _described(number: Json) -> str:
    answers = answers_of(number)
    snags = "; ".join(f"{row['obstacle']} at {row['distance']}" for row in answers["snags"]["rows"])
    near = f" It passes near: {snags}." if snags else ""
    return (
        f"Side view and view from above of the tether between platform and vehicle. {number['headline']}. "
        f"Deepest point {answers['deepest']['plan_on']} {answers['deepest']['unit']}.{near}"
    )
