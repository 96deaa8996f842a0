"""From which side to launch, what the vehicle needs there, and what the line would come too near to."""

from dataclasses import dataclass
from itertools import pairwise
from math import hypot, inf, sqrt

from opsrisk.physics.line import Line, Profile, Vector, current_at
from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.physics.tether import Shape, hang


@dataclass(frozen=True)
class Station:
    """What a vehicle needs to stay at its place: horizontal thrust in N (its own drag and the line's pull).

    `lift_n` is the line's vertical pull on it (negative: the line weighs it down). `share` is horizontal need
    over horizontal thrust: over 1 it is carried away. `shape` is the line.
    """

    thrust_needed_n: float
    lift_n: float
    share: float
    shape: Shape

    @property
    def holds(self) -> bool:
        return self.share <= 1.0

    @property
    def current_to_spare(self) -> float:
        """By how much every current may grow before the vehicle is carried away: exact for a neutral line."""
        return sqrt(1.0 / self.share) if self.share > 0 else inf


@dataclass(frozen=True)
class Place:
    """A place to launch from: a name and (x, y, depth) in m, the depth of the point where the line enters."""

    name: str
    at_m: Vector


@dataclass(frozen=True)
class Obstacle:
    """Something to snag on, as a straight piece: a piling from head to foot, a branch, a wall's edge."""

    name: str
    from_m: Vector
    to_m: Vector


@dataclass(frozen=True)
class Snag:
    """The line passes within the clearance of an obstacle: how near, and where on the line."""

    obstacle: str
    distance_m: float
    at_m: Vector


def hold_station(
    *,
    line: Line,
    vehicle_m: Vector,
    platform_m: Vector,
    profile: Profile,
    density_kgpm3: float,
    thrust_n: float,
    drag_area_m2: float,
) -> Station:
    """What the vehicle needs to stay at `vehicle_m`. Units, ranges and refusals as `tether.hang`.

    >>> station = hold_station(line=Line(100, 0.008, 1.2, 0.0), vehicle_m=(0, 90, 10), platform_m=(0, 0, 10),
    ...     profile=((0.0, 0.5, 0.0),), density_kgpm3=1000, thrust_n=100, drag_area_m2=0.1)
    >>> round(station.thrust_needed_n, 1), station.holds
    (76.1, True)
    """
    within("thrust_n", thrust_n, 0.1, 100_000, "N")
    within("drag_area_m2", drag_area_m2, 0.0, 20, "m2")
    shape = hang(line=line, vehicle_m=vehicle_m, platform_m=platform_m, profile=profile, density_kgpm3=density_kgpm3)
    u, v = current_at(profile)(vehicle_m[2])
    drag = 0.5 * density_kgpm3 * drag_area_m2 * hypot(u, v)
    x, y, down = shape.vehicle_pull_n
    needed = hypot(drag * u + x, drag * v + y)
    return Station(needed, -down, needed / thrust_n, shape)


def launch_side(
    *,
    places: tuple[Place, ...],
    target_m: Vector,
    slack: float = 1.1,
    diameter_m: float,
    profile: Profile,
    density_kgpm3: float,
    thrust_n: float,
    drag_area_m2: float,
    normal_drag: float = 1.5,
    tangential_drag: float = 0.01,
) -> tuple[tuple[Place, Station], ...]:
    """The places to launch from, least thrust first, each with tether out at `slack` times its distance to the target.

    A place up-current comes first: the line then holds the vehicle against the stream, and a vehicle that
    loses its thrust drifts on to the target, not into the line. Raises OutOfRange without a place.
    """
    if not places:
        raise OutOfRange("places", places, "at least one place to launch from")
    within("slack", slack, 1.01, 2.0, "")
    found = []
    for place in places:
        away = sqrt(sum((a - b) ** 2 for a, b in zip(place.at_m, target_m, strict=True)))
        line = Line(max(1.0, slack * away), diameter_m, normal_drag, tangential_drag)
        station = hold_station(
            line=line, vehicle_m=target_m, platform_m=place.at_m, profile=profile, density_kgpm3=density_kgpm3,
            thrust_n=thrust_n, drag_area_m2=drag_area_m2,
        )  # fmt: skip
        found.append((place, station))
    return tuple(sorted(found, key=lambda pair: pair[1].thrust_needed_n))


def snags(shape: Shape, obstacles: tuple[Obstacle, ...], clearance_m: float) -> tuple[Snag, ...]:
    """Every obstacle that the line passes within `clearance_m` of, nearest first.

    Straight pieces between the line's points: the stated distance is good to a few centimetres. A line
    that clears everything here may still drift into it when the current turns: say so where this is shown.
    """
    within("clearance_m", clearance_m, 0.0, 100.0, "m")
    found = []
    for obstacle in obstacles:
        distance, at = min(_gap(a, b, obstacle.from_m, obstacle.to_m) for a, b in pairwise(shape.points_m))
        if distance <= clearance_m:
            found.append(Snag(obstacle.name, distance, at))
    return tuple(sorted(found, key=lambda snag: snag.distance_m))


def _gap(a: Vector, b: Vector, c: Vector, d: Vector) -> tuple[float, Vector]:
    """Least distance between the straight pieces a-b and c-d, and the point on a-b where it is found.

    The nearest points lie inside both pieces or at an end of one of them: all five are tried.
    """
    candidates = [_from_point(c, a, b), _from_point(d, a, b)]
    for end in (a, b):
        distance, _ = _from_point(end, c, d)
        candidates.append((distance, end))
    inner = _inside(a, b, c, d)
    if inner is not None:
        candidates.append(inner)
    return min(candidates)


def _from_point(point: Vector, a: Vector, b: Vector) -> tuple[float, Vector]:
    ab = _minus(b, a)
    length = _dot(ab, ab)
    share = 0.0 if length == 0 else min(1.0, max(0.0, _dot(_minus(point, a), ab) / length))
    near = _along(a, ab, share)
    away = _minus(point, near)
    return sqrt(_dot(away, away)), near


def _inside(a: Vector, b: Vector, c: Vector, d: Vector) -> tuple[float, Vector] | None:
    ab, cd, ac = _minus(b, a), _minus(d, c), _minus(c, a)
    p, q, r = _dot(ab, ab), _dot(ab, cd), _dot(cd, cd)
    whole = p * r - q * q
    if whole <= 1e-12 * p * r:
        return None
    s = (_dot(ac, ab) * r - _dot(ac, cd) * q) / whole
    t = (_dot(ac, ab) * q - _dot(ac, cd) * p) / whole
    if not (0 <= s <= 1 and 0 <= t <= 1):
        return None
    near = _along(a, ab, s)
    away = _minus(_along(c, cd, t), near)
    return sqrt(_dot(away, away)), near


def _minus(a: Vector, b: Vector) -> Vector:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _along(a: Vector, ab: Vector, share: float) -> Vector:
    return a[0] + share * ab[0], a[1] + share * ab[1], a[2] + share * ab[2]


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
