"""The exact shape of a loaded line: step along it from one end, correct the pull there until it meets the other.

With s along the line, T the tension vector and t = T/|T|:
dr/ds = t (1 + |T|/EA), dT/ds = -load(t, depth). Classical fourth-order Runge-Kutta steps, Newton on
the three components of T at the start.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt

from opsrisk.physics.funicular import Matrix, solve3
from opsrisk.physics.line import Line, Load, Vector

State = tuple[float, float, float, float, float, float]
Fire = Callable[[Vector], tuple[list[State], Vector]]
MOST_CORRECTIONS = 40
GOAL_M = 1e-6


@dataclass(frozen=True)
class Shot:
    """A line stepped out from one end: its `states` (x, y, depth, Tx, Ty, Tz), and by how far it missed, in m."""

    pull_n: Vector
    states: tuple[State, ...]
    miss: Vector
    slope: Matrix

    @property
    def residual_m(self) -> float:
        return sqrt(self.miss[0] ** 2 + self.miss[1] ** 2 + self.miss[2] ** 2)


def march(line: Line, load: Load, start: Vector, pull: Vector, steps: int) -> list[State]:
    """The line's states at `steps` + 1 equal distances from `start`, for a given pull there."""
    h = line.length_m / steps
    soft = 1.0 / line.stiffness_n

    def rates(z: float, p: float, q: float, r: float) -> State:
        size = sqrt(p * p + q * q + r * r) + 1e-12
        tx, ty, tz = p / size, q / size, r / size
        fx, fy, fz = load(tx, ty, tz, z)
        longer = 1.0 + size * soft
        return tx * longer, ty * longer, tz * longer, -fx, -fy, -fz

    x, y, z = start
    p, q, r = pull
    states = [(x, y, z, p, q, r)]
    half, sixth = 0.5 * h, h / 6.0
    for _ in range(steps):
        a = rates(z, p, q, r)
        b = rates(z + half * a[2], p + half * a[3], q + half * a[4], r + half * a[5])
        c = rates(z + half * b[2], p + half * b[3], q + half * b[4], r + half * b[5])
        d = rates(z + h * c[2], p + h * c[3], q + h * c[4], r + h * c[5])
        x += sixth * (a[0] + 2 * (b[0] + c[0]) + d[0])
        y += sixth * (a[1] + 2 * (b[1] + c[1]) + d[1])
        z += sixth * (a[2] + 2 * (b[2] + c[2]) + d[2])
        p += sixth * (a[3] + 2 * (b[3] + c[3]) + d[3])
        q += sixth * (a[4] + 2 * (b[4] + c[4]) + d[4])
        r += sixth * (a[5] + 2 * (b[5] + c[5]) + d[5])
        states.append((x, y, z, p, q, r))
    return states


def shoot(line: Line, load: Load, *, start: Vector, end: Vector, pull: Vector, steps: int) -> Shot:
    """The line from `start` to `end`, corrected from a guess of the pull at `start` until the gap is under GOAL_M.

    Raises nothing: a line that would not close comes back with its residual, and the caller refuses it.
    """

    def fire(trial: Vector) -> tuple[list[State], Vector]:
        states = march(line, load, start, trial, steps)
        last = states[-1]
        return states, (last[0] - end[0], last[1] - end[1], last[2] - end[2])

    states, miss = fire(pull)
    slope = _slope(fire, pull, miss)
    for _ in range(MOST_CORRECTIONS):
        if _size(miss) < GOAL_M:
            break
        step, share = solve3(slope, miss), 1.0
        while True:
            trial = (pull[0] - share * step[0], pull[1] - share * step[1], pull[2] - share * step[2])
            found, trial_miss = fire(trial)
            if _size(trial_miss) < _size(miss) or share < 1e-4:
                break
            share *= 0.5
        if share < 1e-4:
            break
        pull, states, miss = trial, found, trial_miss
        slope = _slope(fire, pull, miss)
    return Shot(pull, tuple(states), miss, slope)


def _slope(fire: Fire, pull: Vector, miss: Vector) -> Matrix:
    nudge = 1e-6 * _size(pull) + 1e-9
    columns = []
    for axis in range(3):
        moved = list(pull)
        moved[axis] += nudge
        _, there = fire((moved[0], moved[1], moved[2]))
        columns.append(tuple((there[k] - miss[k]) / nudge for k in range(3)))
    (a, b, c), (d, e, f), (g, h, i) = columns
    return (a, d, g), (b, e, h), (c, f, i)


def _size(v: Vector) -> float:
    return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
