"""First shape of a loaded line: straight pieces under frozen loads, found by a convex minimum.

With the load on each piece frozen, the pull F at one end that makes the pieces reach the
other is the minimum of a convex function, so it is always found; then the loads are taken anew
on the new shape. This never fails but is only accurate to a few percent: it starts `shooting`.
"""

from math import sqrt

from opsrisk.physics.line import Line, Load, Vector

MOST_ROUNDS = 80
STEADY = 2e-3
Matrix = tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]


def first_guess(line: Line, load: Load, start: Vector, span: Vector, pieces: int) -> Vector:
    """Pull in N at `start` for a line of `pieces` straight pieces from there over the vector `span` (m).

    Good to a few percent. Raises nothing: the caller checks the closure of what comes of it.
    """
    piece_m = line.length_m / pieces
    chord = sqrt(span[0] ** 2 + span[1] ** 2 + span[2] ** 2)
    tangents = [(span[0] / chord, span[1] / chord, span[2] / chord)] * pieces
    pull = _opening_pull(load, tangents[0], start[2] + span[2] / 2, line.length_m)
    for _ in range(MOST_ROUNDS):
        sums = _load_sums(load, tangents, start[2], piece_m)
        pull = _closing_pull(pull, sums, span, piece_m, line.stiffness_n)
        tangents, change = _relaxed(tangents, pull, sums)
        if change < STEADY:
            break
    return pull


def _opening_pull(load: Load, tangent: Vector, depth_m: float, length_m: float) -> Vector:
    fx, fy, fz = load(*tangent, depth_m)
    size = max(length_m * sqrt(fx * fx + fy * fy + fz * fz), 1e-6)
    return tangent[0] * size - fx, tangent[1] * size - fy, tangent[2] * size - fz


def _load_sums(load: Load, tangents: list[Vector], depth_m: float, piece_m: float) -> list[Vector]:
    """Load between the start and the middle of each piece."""
    sx = sy = sz = 0.0
    sums = []
    for tx, ty, tz in tangents:
        fx, fy, fz = load(tx, ty, tz, depth_m + 0.5 * piece_m * tz)
        hx, hy, hz = 0.5 * piece_m * fx, 0.5 * piece_m * fy, 0.5 * piece_m * fz
        sums.append((sx + hx, sy + hy, sz + hz))
        sx, sy, sz = sx + 2 * hx, sy + 2 * hy, sz + 2 * hz
        depth_m += piece_m * tz
    return sums


def _closing_pull(pull: Vector, sums: list[Vector], span: Vector, piece_m: float, stiffness_n: float) -> Vector:
    """The F that minimises the convex sum of h|F - s| (+ h|F - s|^2 / 2EA) - F.span, by damped Newton."""
    energy, slope, curve = _energy(pull, sums, span, piece_m, stiffness_n)
    for _ in range(60):
        step = solve3(curve, slope)
        size = 1.0
        while True:
            trial = (pull[0] - size * step[0], pull[1] - size * step[1], pull[2] - size * step[2])
            found = _energy(trial, sums, span, piece_m, stiffness_n)
            if found[0] <= energy or size < 1e-6:
                break
            size *= 0.5
        pull, (energy, slope, curve) = trial, found
        if max(map(abs, slope)) < 1e-7 * piece_m * len(sums):
            break
    return pull


def _energy(
    pull: Vector, sums: list[Vector], span: Vector, piece_m: float, stiffness_n: float
) -> tuple[float, Vector, Matrix]:
    total = gx = gy = gz = xx = yy = zz = xy = xz = yz = 0.0
    soft = 1.0 / stiffness_n
    px, py, pz = pull
    for sx, sy, sz in sums:
        x, y, z = px - sx, py - sy, pz - sz
        size = sqrt(x * x + y * y + z * z) + 1e-12
        k = 1.0 / size
        total += size * (1.0 + 0.5 * size * soft)
        pulls = k + soft
        gx, gy, gz = gx + x * pulls, gy + y * pulls, gz + z * pulls
        x, y, z = x * k, y * k, z * k
        xx, yy, zz = xx + k * (1 - x * x) + soft, yy + k * (1 - y * y) + soft, zz + k * (1 - z * z) + soft
        xy, xz, yz = xy - k * x * y, xz - k * x * z, yz - k * y * z
    h = piece_m
    energy = h * total - px * span[0] - py * span[1] - pz * span[2]
    slope = (h * gx - span[0], h * gy - span[1], h * gz - span[2])
    return energy, slope, ((h * xx, h * xy, h * xz), (h * xy, h * yy, h * yz), (h * xz, h * yz, h * zz))


def _relaxed(tangents: list[Vector], pull: Vector, sums: list[Vector]) -> tuple[list[Vector], float]:
    """Tangents half way to where the pull wants them, and the greatest change: a full step can swing for ever."""
    fresh = []
    greatest = 0.0
    for (ox, oy, oz), (sx, sy, sz) in zip(tangents, sums, strict=True):
        x, y, z = pull[0] - sx, pull[1] - sy, pull[2] - sz
        size = sqrt(x * x + y * y + z * z) + 1e-12
        x, y, z = ox + x / size, oy + y / size, oz + z / size
        size = sqrt(x * x + y * y + z * z) + 1e-12
        x, y, z = x / size, y / size, z / size
        greatest = max(greatest, abs(x - ox), abs(y - oy), abs(z - oz))
        fresh.append((x, y, z))
    return fresh, greatest


def solve3(matrix: Matrix, right: Vector) -> Vector:
    """The solution of three linear equations by cofactors; a singular matrix gives a step of zero."""
    (a, b, c), (d, e, f), (g, h, i) = matrix
    ca, cb, cc = e * i - f * h, f * g - d * i, d * h - e * g
    whole = a * ca + b * cb + c * cc
    if whole == 0.0:
        return 0.0, 0.0, 0.0
    p, q, r = right
    return (
        (p * ca + q * (c * h - b * i) + r * (b * f - c * e)) / whole,
        (p * cb + q * (a * i - c * g) + r * (c * d - a * f)) / whole,
        (p * cc + q * (b * g - a * h) + r * (a * e - b * d)) / whole,
    )
