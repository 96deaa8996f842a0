"""Windows from slack and maximum times typed from a printed table.

Between slack and maximum the current is taken as a quarter of a sine. Real streams are not: the ends of
such windows are off by up to half an hour, so both are trimmed by a quarter of the window or ten
minutes, whichever is more. Measured against the harmonic curve with printed times and speeds at 50
stations over 2026 (docs/measurements/typed_table.py): one trimmed window in twenty still reaches
outside the true one, one in fifty by more than 5 minutes, and at stations whose stream stands still
or runs double by an hour and more. A station's constituents are better; a reading on scene is best.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from math import asin, pi, sin

from opsrisk.physics.instant import minutes_between, utc
from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.physics.window import FASTEST_LIMIT_MPS, SLOWEST_LIMIT_MPS, Window

TRIM_SHARE = 0.25
TRIM_LEAST_MIN = 10.0
SHORTEST_QUARTER_MIN, LONGEST_QUARTER_MIN = 30.0, 14 * 60.0


@dataclass(frozen=True)
class TypedTurn:
    """One line of a printed table: its time, and the velocity in m/s, positive on the flood, 0 at slack."""

    at: datetime
    velocity_mps: float


def velocity_between(slack: TypedTurn, maximum: TypedTurn, at: datetime) -> float:
    """Velocity in m/s at `at` between a slack and the maximum beside it, either way round: a quarter of a sine.

    Reproduces the published table of factors and its worked example (0.66 kn, 1 h 29 of 2 h 28: 0.5 kn).
    Raises OutOfRange for a time outside the two or lines that are not slack and maximum.
    """
    _quarter(slack, maximum)
    share = (at - slack.at) / (maximum.at - slack.at)
    if not 0 <= share <= 1:
        raise OutOfRange("at", at.isoformat(), "a time between the slack and the maximum")
    return maximum.velocity_mps * sin(pi / 2 * share)


def table_windows(turns: Sequence[TypedTurn], *, limit_mps: float) -> tuple[Window, ...]:
    """One window for each typed slack that has a maximum on both sides, or is first or last with one.

    A window at the edge of what was typed ends there: nothing is known beyond. Raises OutOfRange for
    lines that do not alternate slack and maximum in the order of time, quarters outside 30 min to
    14 h, or a limit outside 0.02 to 5 m/s.
    """
    within("limit_mps", limit_mps, SLOWEST_LIMIT_MPS, FASTEST_LIMIT_MPS, "m/s")
    if len(turns) < 2:
        raise OutOfRange("turns", len(turns), "at least a slack and a maximum")
    for one, other in pairwise(turns):
        if utc("turns", other.at) <= utc("turns", one.at):
            raise OutOfRange("turns", other.at.isoformat(), "times in order")
        _quarter(*((one, other) if one.velocity_mps == 0 else (other, one)))
    slacks = [place for place, turn in enumerate(turns) if turn.velocity_mps == 0]
    return tuple(_merged([_around(turns, place, limit_mps) for place in slacks]))


def _quarter(slack: TypedTurn, maximum: TypedTurn) -> None:
    if slack.velocity_mps != 0 or maximum.velocity_mps == 0:
        raise OutOfRange("turns", (slack.velocity_mps, maximum.velocity_mps), "slack (0) and maximum in turn")
    within("turns", abs(maximum.velocity_mps), 0, 15, "m/s")
    length = abs(minutes_between(slack.at, maximum.at))
    within("turns", length, SHORTEST_QUARTER_MIN, LONGEST_QUARTER_MIN, "min from slack to maximum")


def _around(turns: Sequence[TypedTurn], place: int, limit_mps: float) -> Window:
    slack = turns[place]
    before = turns[place - 1] if place > 0 else None
    after = turns[place + 1] if place + 1 < len(turns) else None
    starts = _edge(slack, before, limit_mps)
    ends = _edge(slack, after, limit_mps)
    return _trimmed(starts, ends, abs(after.velocity_mps) if after else limit_mps)


def _edge(slack: TypedTurn, maximum: TypedTurn | None, limit_mps: float) -> datetime:
    """Where the limit is reached between `slack` and `maximum`; the maximum itself where it never is."""
    if maximum is None:
        return slack.at
    share = min(1.0, limit_mps / abs(maximum.velocity_mps))
    return slack.at + (maximum.at - slack.at) * (2 / pi * asin(share))


def _trimmed(starts: datetime, ends: datetime, peak_mps: float) -> Window:
    length = minutes_between(starts, ends)
    trim = max(TRIM_SHARE * length, TRIM_LEAST_MIN)
    usable_starts = starts + timedelta(minutes=trim)
    usable_ends = max(usable_starts, ends - timedelta(minutes=trim))
    return Window(starts, ends, usable_starts, usable_ends, trim, peak_mps)


def _merged(found: Sequence[Window]) -> list[Window]:
    """Windows that touch at a maximum under the limit are one window, trimmed once at its ends."""
    merged: list[Window] = []
    for window in found:
        if merged and window.starts <= merged[-1].ends:
            merged[-1] = _trimmed(merged[-1].starts, window.ends, window.peak_mps)
        else:
            merged.append(window)
    return merged
