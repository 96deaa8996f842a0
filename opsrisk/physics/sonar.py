"""Whether an imaging sonar sees a target from where the vehicle hovers: beam, tilt, ridge and hollow.

Geometry in the upright plane through sonar and target: sound goes straight, the bottom is straight
between the points that are given. Angles are down from level. Sound bends where water is layered by
warmth or salt, and a soft target may give no echo: seen here means that sound reaches it, not that
somebody will notice it.
"""

from bisect import bisect_right
from dataclasses import dataclass
from math import atan2, degrees, hypot, inf, radians, tan
from typing import Literal

from opsrisk.physics.absorption import absorption_db_per_km
from opsrisk.physics.ranges import OutOfRange, within

Bottom = tuple[tuple[float, float], ...]
Verdict = Literal[
    "seen", "partly seen", "below the beam", "above the beam", "in the shadow", "out of range", "too near"
]


@dataclass(frozen=True)
class Mode:
    """One working mode of a sonar, as its papers give it: frequency, height of the beam, spacing of beams, ranges."""

    name: str
    frequency_khz: float
    vertical_beam_deg: float
    beam_spacing_deg: float
    least_range_m: float
    greatest_range_m: float

    def __post_init__(self) -> None:
        within("frequency_khz", self.frequency_khz, 10.0, 3000.0, "kHz")
        within("vertical_beam_deg", self.vertical_beam_deg, 0.5, 120.0, "deg")
        within("beam_spacing_deg", self.beam_spacing_deg, 0.01, 5.0, "deg")
        within("least_range_m", self.least_range_m, 0.0, 50.0, "m")
        within("greatest_range_m", self.greatest_range_m, self.least_range_m, 500.0, "m")


@dataclass(frozen=True)
class Target:
    """Something on the bottom: level distance from the sonar, height above the bottom, width, all in m."""

    distance_m: float
    height_m: float
    width_m: float

    def __post_init__(self) -> None:
        within("distance_m", self.distance_m, 0.1, 500.0, "m")
        within("height_m", self.height_m, 0.01, 50.0, "m")
        within("width_m", self.width_m, 0.01, 200.0, "m")


@dataclass(frozen=True)
class Look:
    """What one mode at one tilt shows of a target.

    `share_seen` is the part of its height that sound reaches, `range_m` the slant range to the middle of it,
    `detail_m` the width of one beam there, `beams_across` how many beams fall on its width. `water_loss_db` is
    what the water takes there and back. `tilts_deg` are the tilts that put all of it into the beam, down
    positive, or None if it is taller than the beam. `see_in_from_m` is the depth that the sonar must rise to
    for a ridge or rim to hide nothing (inf: nothing hides it now).
    """

    verdict: Verdict
    share_seen: float
    range_m: float
    detail_m: float
    beams_across: float
    water_loss_db: float
    tilts_deg: tuple[float, float] | None
    see_in_from_m: float


def detail_m(*, range_m: float, beam_spacing_deg: float) -> float:
    """Width in m across one beam at `range_m`: what two points must be apart to show as two. Raises OutOfRange.

    >>> round(detail_m(range_m=9.144, beam_spacing_deg=0.1), 3)
    0.016
    """
    within("range_m", range_m, 0.0, 500.0, "m")
    within("beam_spacing_deg", beam_spacing_deg, 0.01, 5.0, "deg")
    return range_m * radians(beam_spacing_deg)


def look(
    *,
    mode: Mode,
    tilt_deg: float,
    sonar_depth_m: float,
    bottom: Bottom,
    target: Target,
    temperature_c: float = 10.0,
    salinity: float = 0.0,
) -> Look:
    """What `mode` tilted down by `tilt_deg` (-90 to 90) shows of `target` on `bottom`, from `sonar_depth_m`.

    `bottom` is (level distance, depth) in m from the sonar outward, from 0 to at least the target.
    Temperature and salinity only enter the loss in the water. Raises OutOfRange.
    """
    within("tilt_deg", tilt_deg, -90.0, 90.0, "deg")
    floor = _bottom_at(_checked_bottom(bottom, target, sonar_depth_m), target.distance_m)
    top = floor - target.height_m
    x = target.distance_m
    half = mode.vertical_beam_deg / 2
    shade = _shade(bottom, sonar_depth_m, x)
    upper = _edge(sonar_depth_m, x, tilt_deg - half)
    lower = _edge(sonar_depth_m, x, tilt_deg + half)
    share = max(0.0, min(floor, shade, lower) - max(top, upper)) / target.height_m
    slant = hypot(x, (top + floor) / 2 - sonar_depth_m)
    detail = slant * radians(mode.beam_spacing_deg)
    loss = absorption_db_per_km(
        frequency_khz=mode.frequency_khz, temperature_c=temperature_c, salinity=salinity, depth_m=sonar_depth_m
    )
    return Look(
        verdict=_verdict(mode, slant, share, (top, floor), (upper, lower)),
        share_seen=min(1.0, share) if mode.least_range_m <= slant <= mode.greatest_range_m else 0.0,
        range_m=slant,
        detail_m=detail,
        beams_across=target.width_m / detail,
        water_loss_db=2 * slant * loss / 1000,
        tilts_deg=_tilts(mode, x, top - sonar_depth_m, floor - sonar_depth_m),
        see_in_from_m=_see_in_from(bottom, sonar_depth_m, x, floor),
    )


def best_look(
    *,
    modes: tuple[Mode, ...],
    tilts_deg: tuple[float, ...],
    sonar_depth_m: float,
    bottom: Bottom,
    target: Target,
    temperature_c: float = 10.0,
    salinity: float = 0.0,
) -> tuple[Mode, float, Look]:
    """The mode and tilt that show most of the target, and among equals in the finest detail and nearest its middle.

    Where even that is not "seen", the look says why and `see_in_from_m` says what would help. Raises OutOfRange.
    """
    if not modes or not tilts_deg:
        raise OutOfRange("modes and tilts_deg", (modes, tilts_deg), "at least one of each")
    floor = _bottom_at(_checked_bottom(bottom, target, sonar_depth_m), target.distance_m)
    middle = degrees(atan2(floor - target.height_m / 2 - sonar_depth_m, target.distance_m))
    found = [
        (mode, tilt, look(mode=mode, tilt_deg=tilt, sonar_depth_m=sonar_depth_m, bottom=bottom, target=target,
                          temperature_c=temperature_c, salinity=salinity))
        for mode in modes for tilt in tilts_deg
    ]  # fmt: skip
    return min(found, key=lambda one: (-round(one[2].share_seen, 6), one[2].detail_m, abs(one[1] - middle)))


def _checked_bottom(bottom: Bottom, target: Target, sonar_depth_m: float) -> Bottom:
    within("sonar_depth_m", sonar_depth_m, 0.0, 500.0, "m")
    distances = [distance for distance, _ in bottom]
    if len(bottom) < 2 or distances[0] != 0 or distances[-1] < target.distance_m or distances != sorted(set(distances)):
        raise OutOfRange("bottom", bottom, f"(distance, depth) rows outward from 0 to {target.distance_m:g} m or more")
    for _, depth in bottom:
        within("bottom depth_m", depth, 0.0, 500.0, "m")
    if sonar_depth_m >= bottom[0][1]:
        raise OutOfRange("sonar_depth_m", sonar_depth_m, f"above the bottom below it, {bottom[0][1]:g} m")
    return bottom


def _bottom_at(bottom: Bottom, x: float) -> float:
    after = min(bisect_right([distance for distance, _ in bottom], x), len(bottom) - 1)
    (x0, z0), (x1, z1) = bottom[after - 1], bottom[after]
    return z0 + (z1 - z0) * (x - x0) / (x1 - x0)


def _shade(bottom: Bottom, sonar_depth_m: float, x: float) -> float:
    """Depth at distance x below which ridges on the way hide everything: the steepest line of sight over them."""
    slopes = [(z - sonar_depth_m) / d for d, z in bottom if 0 < d < x]
    return sonar_depth_m + x * min(slopes) if slopes else inf


def _edge(sonar_depth_m: float, x: float, angle_deg: float) -> float:
    if angle_deg >= 90:
        return inf
    return -inf if angle_deg <= -90 else sonar_depth_m + x * tan(radians(angle_deg))


def _verdict(
    mode: Mode, slant: float, share: float, target: tuple[float, float], edges: tuple[float, float]
) -> Verdict:
    (top, floor), (upper, lower) = target, edges
    if slant > mode.greatest_range_m:
        return "out of range"
    if slant < mode.least_range_m:
        return "too near"
    if share > 0:
        return "seen" if share >= 0.999 else "partly seen"
    if lower <= top:
        return "below the beam"
    return "above the beam" if upper >= floor else "in the shadow"


def _tilts(mode: Mode, x: float, top: float, floor: float) -> tuple[float, float] | None:
    high, low = degrees(atan2(top, x)), degrees(atan2(floor, x))
    half = mode.vertical_beam_deg / 2
    return None if low - high > mode.vertical_beam_deg else (low - half, high + half)


def _see_in_from(bottom: Bottom, sonar_depth_m: float, x: float, floor: float) -> float:
    """Depth on the sonar's upright line from which the target's foot shows over every ridge, or inf if it does now."""
    over = [floor + (z - floor) * x / (x - d) for d, z in bottom if 0 < d < x]
    needed = min(over, default=inf)
    return inf if sonar_depth_m <= needed + 1e-9 else needed
