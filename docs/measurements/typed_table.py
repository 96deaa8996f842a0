"""How wrong is a window from typed slack and maximum times? Sine against the harmonic curve, a year, 50 stations.

Prints, for limits of 0.5 and 1.0 kn, the error of the window's length, the share of windows whose trimmed
part is not wholly inside the true window, and by how much. Times are rounded to a minute and speeds to
0.1 kn, as a printed table has them. Only windows between two maxima over the limit: others have no ends.
    python docs/measurements/typed_table.py
"""

import json
import sys
from datetime import UTC, datetime, timedelta
from itertools import groupby
from pathlib import Path
from statistics import mean, quantiles

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from opsrisk.physics.ranges import OutOfRange  # noqa: E402 - the path comes first
from opsrisk.physics.slack_table import TypedTurn, table_windows  # noqa: E402 - the path comes first
from opsrisk.physics.station import Station  # noqa: E402 - the path comes first
from opsrisk.physics.tides import events  # noqa: E402 - the path comes first
from opsrisk.physics.window import windows  # noqa: E402 - the path comes first

KNOT = 1852 / 3600
STATIONS, MONTHS = 50, 12


def printed(station: Station, start: datetime, hours: float) -> list[TypedTurn]:
    """What a table prints: slack and, between two slacks, the strongest maximum only."""
    turns = []
    for is_slack, group in groupby(events(station, start=start, hours=hours), key=lambda e: e.kind == "slack"):
        for event in group if is_slack else [max(group, key=lambda e: abs(e.velocity_mps))]:
            minute = (event.at + timedelta(seconds=30)).replace(second=0, microsecond=0)
            turns.append(TypedTurn(minute, round(event.velocity_mps / KNOT, 1) * KNOT))
    return turns


def compare(station: Station, limit: float) -> list[tuple[float, ...]]:
    """(true length, typed length, minutes used too early, too late, weaker maximum over the limit) of each window."""
    rows = []
    for month in range(MONTHS):
        start = datetime(2026, 1 + month, 1, tzinfo=UTC)
        turns = printed(station, start, 24 * 28)
        true = windows(station, limit_mps=limit, start=start, hours=24 * 28)
        for left in range(len(turns) - 2):
            three = turns[left : left + 3]
            if three[1].velocity_mps != 0 or not three[0].velocity_mps or not three[2].velocity_mps:
                continue
            try:
                typed = table_windows(three, limit_mps=limit)[0]
            except OutOfRange:
                continue
            here = [one for one in true if one.starts <= three[1].at <= one.ends]
            weakest = min(abs(three[0].velocity_mps), abs(three[2].velocity_mps))
            if not here or typed.usable_min <= 0 or weakest <= limit:
                continue
            early = (here[0].starts - typed.usable_starts).total_seconds() / 60
            late = (typed.usable_ends - here[0].ends).total_seconds() / 60
            length = (here[0].ends - here[0].starts).total_seconds() / 60
            rows.append((length, (typed.ends - typed.starts).total_seconds() / 60, early, late, weakest / limit))
    return rows


def main() -> None:
    document = json.loads((ROOT / "fixtures" / "oracles" / "tidal_currents.json").read_text())
    for knots in (0.5, 1.0):
        rows = []
        for case in document["cases"][: 2 * STATIONS : 2]:
            rows += compare(Station.from_document(case["inputs"]["station"]), knots * KNOT)
        outside = [max(early, late) for _, _, early, late, _ in rows if max(early, late) > 0]
        errors = [typed - true for true, typed, *_ in rows]
        cuts = quantiles(errors, n=20)
        print(f"limit {knots} kn: {len(rows)} windows, length error mean {mean(errors):+.1f} min")
        print(f"  middle 90 % {cuts[0]:+.1f} to {cuts[-1]:+.1f}, worst {min(errors):+.0f} to {max(errors):+.0f} min")
        print(
            f"  trimmed window not inside the true one: {len(outside)} ({100 * len(outside) / len(rows):.2f} %)", end=""
        )
        print(f", by more than 5 min {sum(o > 5 for o in outside)}, at most {max(outside, default=0):.0f} min")


if __name__ == "__main__":
    main()
