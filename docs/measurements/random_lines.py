"""How often a random line is refused, and how long one takes: the numbers in docs/computations/tether.md.

    python docs/measurements/random_lines.py [seed] [count]

Far wilder than anything a team pays out: depths of 2 to 60 m, up to 150 m away, slack from half a percent
to double, uniform, sheared and reversing currents, heavy and light lines, lines that stretch.
"""

import random
import sys
from math import cos, exp, hypot, inf, log, pi, sin
from pathlib import Path
from statistics import median
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from opsrisk.physics.line import Line, Profile
from opsrisk.physics.tether import NotClosed, hang


def profile(chance: random.Random, depth: float) -> Profile:
    """A current that is the same all the way down, or changes from layer to layer, or turns round."""

    def draw(low: float, high: float) -> float:
        return chance.uniform(low, high)

    kind = chance.choice(("uniform", "sheared", "reversing"))
    if kind == "uniform":
        return ((0.0, draw(0.05, 2), 0.0),)
    if kind == "sheared":
        return tuple((z, draw(0.05, 1.5), draw(-0.5, 0.5)) for z in (0.0, depth * 0.3, depth * 0.7, depth))
    middle = (depth / 2, draw(-0.3, 0.3), draw(-0.3, 0.3))
    return ((0.0, draw(0.2, 1.5), 0.0), middle, (depth, -draw(0.2, 1), 0.0))


def main(seed: int, count: int) -> None:
    """Hang `count` lines and print how many closed and the time each took."""
    chance = random.Random(seed)  # noqa: S311 - draws examples, keeps no secret
    times, refused = [], 0
    for _ in range(count):
        depth, away, bearing = chance.uniform(2, 60), chance.uniform(0.5, 150), chance.uniform(0, 2 * pi)
        slack = exp(chance.uniform(log(0.005), log(1.0)))
        weight = chance.choice((0.0, 0.0, chance.uniform(-0.5, 0.5)))
        line = Line(
            length_m=(1 + slack) * hypot(depth, away),
            diameter_m=chance.uniform(0.003, 0.02),
            normal_drag=chance.uniform(1, 2),
            tangential_drag=chance.choice((0.0, 0.01, 0.02)),
            weight_npm=weight,
            stiffness_n=chance.choice((inf, 1e5, 2e4)),
        )
        vehicle = (away * cos(bearing), away * sin(bearing), depth)
        current = profile(chance, depth)
        started = perf_counter()
        try:
            hang(line=line, vehicle_m=vehicle, platform_m=(0, 0, 0), profile=current, density_kgpm3=1000)
        except NotClosed:
            refused += 1
        times.append(1000 * (perf_counter() - started))
    times.sort()
    print(f"{count} lines, {refused} refused; ms: median {median(times):.1f}, 95 % {times[int(0.95 * count)]:.1f},")
    print(f"99 % {times[int(0.99 * count)]:.1f}, longest {times[-1]:.0f}")


if __name__ == "__main__":
    main(*(int(word) for word in (*sys.argv[1:], "1", "1500")[:2]))
