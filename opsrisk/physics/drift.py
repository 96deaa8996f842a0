"""Where a person can have drifted from the last-seen point before coming to rest on the bottom.

Drift is time at the surface plus time sinking, carried by the current. Each input comes as a range; the
answer is an ellipse that holds the truth with a stated chance if the ranges are right. A body on the
bottom stays in slow water; a flood moves it, and this says nothing of that.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import cos, log, pi, radians, sin, sqrt

from opsrisk.physics.instant import utc
from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.physics.station import Station
from opsrisk.physics.tides import velocity_mps

UNIFORM = sqrt(12)  # a range without further knowledge is even: its standard deviation is the width over this
FASTEST_MPS = 8.0
LONGEST_MIN = 12 * 60.0
STEP_MIN = 1.0


@dataclass(frozen=True)
class SearchArea:
    """An ellipse: its centre `centre_m` from the last-seen point towards `bearing_deg` (true), long axis along it.

    `half_length_m` along the stream, `half_width_m` across; `area_m2` of the ellipse; `containment` the
    chance that it holds the person, given the ranges.
    """

    centre_m: float
    bearing_deg: float
    half_length_m: float
    half_width_m: float
    area_m2: float
    containment: float

    def holds(self, *, east_m: float, north_m: float) -> bool:
        """Whether the point `east_m`, `north_m` from the last-seen point lies in the ellipse."""
        turn = radians(self.bearing_deg)
        along = east_m * sin(turn) + north_m * cos(turn) - self.centre_m
        across = east_m * cos(turn) - north_m * sin(turn)
        return (along / self.half_length_m) ** 2 + (across / self.half_width_m) ** 2 <= 1


def search_area(
    *,
    speed_mps: tuple[float, float],
    minutes: tuple[float, float],
    towards_deg: float,
    direction_spread_deg: float,
    last_seen_error_m: float,
    containment: float = 0.95,
) -> SearchArea:
    """The area to search: current (low, high) m/s, drift time (low, high) min, direction +- spread, degrees true.

    `last_seen_error_m` is the radius that holds the last-seen point in 19 of 20 cases. First order in the
    ranges: against 100,000 simulated drifts the ellipse holds the stated share within 0.02 from 0.9 up and
    within 0.04 at one half, for spreads up to 20 degrees. Raises OutOfRange for speeds over 8 m/s, times
    over 12 h, spreads over 45 degrees (search all round then), containment outside 0.5 to 0.99, crossed
    ranges, or an exact position (0 m).
    """
    slow, fast = _range("speed_mps", speed_mps, FASTEST_MPS, "m/s")
    short, long = (minute * 60 for minute in _range("minutes", minutes, LONGEST_MIN, "min"))
    bearing = within("towards_deg", towards_deg, 0, 360, "degrees")
    spread = radians(within("direction_spread_deg", direction_spread_deg, 0, 45, "degrees"))
    point = within("last_seen_error_m", last_seen_error_m, 1, 5000, "m") / sqrt(-2 * log(0.05))
    share = within("containment", containment, 0.5, 0.99, "")
    speed, time = (slow + fast) / 2, (short + long) / 2
    speed_sd, time_sd, turn_sd = (fast - slow) / UNIFORM, (long - short) / UNIFORM, 2 * spread / UNIFORM
    # Second moments of a product of independent factors, exact; a turn shortens the way along and bends it aside.
    mean_square = (speed**2 + speed_sd**2) * (time**2 + time_sd**2)
    along_mean = speed * time * (1 - turn_sd**2 / 2)
    across_sd = sqrt(mean_square * turn_sd**2 + point**2)
    along_sd = sqrt(max(0.0, mean_square - (speed * time) ** 2) + point**2)
    reach = sqrt(-2 * log(1 - share))
    a, b = reach * along_sd, reach * across_sd
    return SearchArea(along_mean, bearing, a, b, pi * a * b, share)


def drift_minutes(
    *, surface_min: tuple[float, float], depth_m: float, sink_mps: tuple[float, float]
) -> tuple[float, float]:
    """Shortest and longest drift, min: time at the surface, then sinking through `depth_m` at `sink_mps`.

    No sinking speed is published that the tool could read: the team states its own. Raises OutOfRange for
    depths outside 0 to 300 m or sinking speeds outside 0.05 to 3 m/s.

    >>> drift_minutes(surface_min=(1, 3), depth_m=12, sink_mps=(0.4, 0.8))
    (1.25, 3.5)
    """
    short, long = _range("surface_min", surface_min, LONGEST_MIN, "min")
    slow, fast = _range("sink_mps", sink_mps, 3.0, "m/s")
    within("sink_mps", slow, 0.05, 3.0, "m/s")
    within("depth_m", depth_m, 0, 300, "m")
    return short + depth_m / fast / 60, long + depth_m / slow / 60


def tidal_displacement_m(station: Station, *, start: datetime, minutes: float) -> float:
    """How far the predicted current carries a float from `start` for `minutes`, metres, positive towards the flood.

    Trapezes of a minute: within 0.1 % for tidal streams. Raises OutOfRange over 12 h or without an offset.
    """
    within("minutes", minutes, 0, LONGEST_MIN, "min")
    begin = utc("start", start)
    steps = max(1, round(minutes / STEP_MIN))
    width = minutes / steps
    speeds = [velocity_mps(station, begin + timedelta(minutes=width * step)) for step in range(steps + 1)]
    return 60 * width * (sum(speeds) - (speeds[0] + speeds[-1]) / 2)


def _range(name: str, given: tuple[float, float], most: float, unit: str) -> tuple[float, float]:
    low, high = (within(name, value, 0, most, unit) for value in given)
    if low > high:
        raise OutOfRange(name, given, "the lower end first")
    return low, high
