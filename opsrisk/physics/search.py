"""How long a search takes for a chance of finding, by vehicle and by divers, and the diver-minutes that saves.

Coverage is sweep width times track length over area. The chance that follows is that of finding a target
that IS in the area and can be found by this means at all. The random curve is the default: it is what is
left of a planned pattern after current, turns and a tired pilot, and it flatters nobody.
"""

from dataclasses import dataclass
from math import ceil, erf, exp, inf, log, pi, sqrt
from typing import Literal

from opsrisk.physics.ranges import OutOfRange, within

Law = Literal["random", "ideal", "definite"]


@dataclass(frozen=True)
class Searcher:
    """One way of searching: how fast along a track, how wide a sweep, and what each track and dive costs.

    `sweep_width_m` is the team's own, from trials on a known object in this visibility. `turn_min` is lost at
    each end of a track (turn, tether handling); `bottom_min` and `between_min` apply to divers: time on the
    bottom of one dive, and what changing divers takes. `in_water` counts the divers at work together.
    """

    name: str
    speed_mps: float
    sweep_width_m: float
    turn_min: float = 1.0
    in_water: int = 0
    bottom_min: float = inf
    between_min: float = 0.0

    def __post_init__(self) -> None:
        within("speed_mps", self.speed_mps, 0.01, 3.0, "m/s")
        within("sweep_width_m", self.sweep_width_m, 0.1, 200.0, "m")
        within("turn_min", self.turn_min, 0.0, 60.0, "min")
        within("in_water", self.in_water, 0, 10, "")
        within("between_min", self.between_min, 0.0, 240.0, "min")
        if not self.bottom_min > 0:
            raise OutOfRange("bottom_min", self.bottom_min, "more than 0 min")


@dataclass(frozen=True)
class Effort:
    """What a search takes: tracks and their spacing, minutes with turns and changes, dives, diver-minutes, chance."""

    tracks: int
    spacing_m: float
    minutes: float
    dives: int
    diver_minutes: float
    coverage: float
    chance: float


def chance_of_finding(*, coverage: float, law: Law = "random") -> float:
    """Chance (0 to 1) of finding a target that is there, at a `coverage` of 0 to 10.

    random: 1 - exp(-C) (Koopman). ideal: erf(sqrt(pi) C / 2), parallel sweeps of an eye or sensor whose chance
    falls with the cube of distance. definite: min(1, C), all seen inside the swath. Raises OutOfRange.

    >>> [round(chance_of_finding(coverage=1, law=law), 4) for law in ("random", "ideal", "definite")]
    [0.6321, 0.7899, 1.0]
    """
    c = within("coverage", coverage, 0.0, 10.0, "")
    if law == "random":
        return 1.0 - exp(-c)
    if law == "ideal":
        return erf(sqrt(pi) * c / 2)
    if law == "definite":
        return min(1.0, c)
    raise OutOfRange("law", law, "random, ideal or definite")


def coverage_for(*, chance: float, law: Law = "random") -> float:
    """The coverage that gives `chance` (0.01 to 0.99). Raises OutOfRange.

    >>> round(coverage_for(chance=0.8), 3)
    1.609
    """
    within("chance", chance, 0.01, 0.99, "")
    if law == "random":
        return -log(1.0 - chance)
    low, high = 0.0, 10.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if chance_of_finding(coverage=middle, law=law) >= chance else (middle, high)
    return high


def combined_chance(chances: tuple[float, ...]) -> float:
    """Chance that at least one of several independent passes finds it: 1 - product of the misses.

    Passes by the same means over the same hollow are not independent: do not multiply those.

    >>> combined_chance((0.5, 0.5))
    0.75
    """
    missed = 1.0
    for chance in chances:
        missed *= 1.0 - within("chance", chance, 0.0, 1.0, "")
    return 1.0 - missed


def effort(*, searcher: Searcher, length_m: float, width_m: float, chance: float, law: Law = "random") -> Effort:
    """What it takes `searcher` to reach `chance` over a rectangle, in parallel tracks along `length_m`.

    Sides 1 to 5,000 m, chance 0.01 to 0.99. Whole tracks only, so the chance that comes out is at least the one
    asked for. Raises OutOfRange.
    """
    within("length_m", length_m, 1.0, 5000.0, "m")
    within("width_m", width_m, 1.0, 5000.0, "m")
    wanted = coverage_for(chance=chance, law=law)
    tracks = max(1, ceil(wanted * width_m / searcher.sweep_width_m - 1e-9))
    coverage = min(10.0, searcher.sweep_width_m * tracks / width_m)
    moving = tracks * length_m / searcher.speed_mps / 60 + (tracks - 1) * searcher.turn_min
    dives = ceil(moving / searcher.bottom_min - 1e-9) if searcher.in_water else 0
    return Effort(
        tracks=tracks,
        spacing_m=width_m / tracks,
        minutes=moving + max(0, dives - 1) * searcher.between_min,
        dives=dives * searcher.in_water,
        diver_minutes=moving * searcher.in_water,
        coverage=coverage,
        chance=chance_of_finding(coverage=coverage, law=law),
    )


def diver_minutes_saved(
    *, vehicle: Searcher, divers: Searcher, length_m: float, width_m: float, chance: float, law: Law = "random"
) -> tuple[Effort, Effort, float]:
    """The search by vehicle, the same search by divers, and the minutes under water that the vehicle saves them.

    What divers still need to reach a contact that the vehicle found is not in it. Raises OutOfRange.
    """
    by_vehicle = effort(searcher=vehicle, length_m=length_m, width_m=width_m, chance=chance, law=law)
    by_divers = effort(searcher=divers, length_m=length_m, width_m=width_m, chance=chance, law=law)
    return by_vehicle, by_divers, by_divers.diver_minutes - by_vehicle.diver_minutes
