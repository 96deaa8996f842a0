"""Longest bottom time without stops, after the earlier dives: a look-up in tables an agency has compared itself.

Off until it has: every answer needs an `Adoption`, which names who compared the tables with the printed
manual and is bound to their exact text. Beyond the tables there is no answer. The tool plans no stops.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from itertools import pairwise
from math import ceil

from opsrisk.physics.ranges import OutOfRange, within
from opsrisk.physics.water import SEA_LEVEL_PA, altitude_pressure_pa
from opsrisk.reference import no_stop as tables
from opsrisk.reference.no_stop import BLANK, CAVEAT, GROUPS, SEE_30, UNDEFINED, UNLIMITED
from opsrisk.reference.units import to_si

SHORTEST_INTERVAL_MIN = 10  # anything shorter is the same dive; the tables begin here
DEEPEST_FSW = 190
CORRECTED_FROM_FT, SMALL_FT = 1000, 300
CORRECTED_DEEPER_THAN_FSW = 145
HIGHEST_FT = 10_000
TABLES = (tables.LIMITS, tables.INTERVALS, tables.RESIDUALS, tables.ARRIVALS, tables.WAITS)
DIGEST = sha256(repr([table.rows for table in TABLES]).encode()).hexdigest()


class TablesNotAdopted(ValueError):
    """Nobody of the agency has signed that these tables, as they stand here, are those of its printed manual."""


class BeyondTheTable(OutOfRange):
    """The tables end here: no time without stops can be given."""


@dataclass(frozen=True)
class Adoption:
    """Who compared the tables with a printed copy, and when; `digest` is the DIGEST that was shown."""

    person: str
    on: date
    digest: str


@dataclass(frozen=True)
class PastDive:
    """A dive of the last day: greatest depth (fsw), bottom time (min), and minutes from surfacing to the next dive."""

    depth_fsw: float
    bottom_min: float
    interval_min: float


@dataclass(frozen=True)
class NoStop:
    """The longest bottom time without stops for one dive; None stands for unlimited.

    `limit_min` is the row's limit, `residual_min` what earlier dives take off, `left_min` what remains;
    `depth_row_fsw` the row that was used, after rounding down the page and any altitude. `group_before`
    is None for a diver without residual nitrogen.
    """

    left_min: int | None
    limit_min: int | None
    residual_min: int
    depth_row_fsw: int
    group_before: str | None
    caveat: str = CAVEAT


def no_stop(
    *,
    depth_fsw: float,
    previous: Sequence[PastDive] = (),
    altitude_ft: float = 0.0,
    at_altitude_min: float | None = None,
    adoption: Adoption | None,
) -> NoStop:
    """The longest bottom time without stops at `depth_fsw` today.

    `previous` are the earlier dives, first to last, each with the interval that followed it. `altitude_ft`
    of the site: corrected above 1,000 ft; between 300 and 1,000 ft for dives deeper than 145 fsw; a diver
    who came up less than 12 h ago says so in `at_altitude_min` and counts with a group. Depths and times
    round up to the next line. Raises TablesNotAdopted, BeyondTheTable, or OutOfRange.
    """
    _require(adoption)
    if previous and at_altitude_min is not None:
        raise OutOfRange("at_altitude_min", at_altitude_min, "no earlier dives: the tables do not combine the two")
    row = _row(equivalent_depth_fsw(depth_fsw=depth_fsw, altitude_ft=altitude_ft))
    group = _after_all(previous, altitude_ft)
    if at_altitude_min is not None and altitude_ft > SMALL_FT:
        group = after_interval(arrival_group(altitude_ft), max(at_altitude_min, SHORTEST_INTERVAL_MIN))
    limit = _limit(row)
    residual = _residual(group, row)
    if limit is None:
        return NoStop(None, None, residual or 0, row, group)
    if residual is None or residual >= limit:
        raise BeyondTheTable("depth_fsw", depth_fsw, f"a longer interval: group {group} leaves no time at {row} fsw")
    return NoStop(limit - residual, limit, residual, row, group)


def group_after(*, depth_fsw: float, bottom_min: float, group_before: str | None = None) -> str:
    """The repetitive group after a dive within the no-stop limit, the residual time of `group_before` added.

    Raises BeyondTheTable for a dive past the limit or past the last group of its row.
    """
    row = _row(depth_fsw)
    residual = _residual(group_before, row)
    if residual is None:
        return group_before or GROUPS[-1]  # the table cannot tell: the group stays as it is
    spent = ceil(within("bottom_min", bottom_min, 0, 48 * 60, "min")) + residual
    limit = _limit(row)
    if limit is not None and spent > limit:
        accepted = f"at most {max(0, limit - residual)} min at {row} fsw without stops"
        raise BeyondTheTable("bottom_min", bottom_min, accepted)
    for group in GROUPS:
        cell = _cell(tables.LIMITS.rows, str(row), 2 + GROUPS.index(group))
        if cell != BLANK and spent <= int(cell):
            return group
    return _highest(row)


def after_interval(group: str, interval_min: float) -> str | None:
    """The group that `group` has become after `interval_min` at the surface.

    None once the next dive is no repetitive one. Raises OutOfRange under ten minutes, which count as the
    same dive, or for an unknown group.

    >>> after_interval("H", 110), after_interval("A", 141)
    ('F', None)
    """
    within("interval_min", interval_min, SHORTEST_INTERVAL_MIN, 31 * 24 * 60, "min (less is the same dive)")
    row = next((row for row in tables.INTERVALS.rows if row[0] == group), None)
    if row is None:
        raise OutOfRange("group", group, f"one of {GROUPS}")
    for name, cell in zip(reversed(GROUPS), row[1:], strict=True):
        if cell != BLANK and interval_min <= int(cell):
            return name
    return None


def equivalent_depth_fsw(*, depth_fsw: float, altitude_ft: float) -> float:
    """Sea-level depth that a dive to `depth_fsw` at `altitude_ft` counts as: depth times the ratio of air pressures.

    Nothing up to 300 ft, nor up to 1,000 ft for 145 fsw and shallower. The deepest row is 190 fsw.

    >>> round(equivalent_depth_fsw(depth_fsw=100, altitude_ft=6000), 1)
    124.8
    """
    within("depth_fsw", depth_fsw, 0, DEEPEST_FSW, "fsw")
    within("altitude_ft", altitude_ft, 0, HIGHEST_FT, "ft")
    small = altitude_ft <= SMALL_FT or (altitude_ft <= CORRECTED_FROM_FT and depth_fsw <= CORRECTED_DEEPER_THAN_FSW)
    return depth_fsw if small else depth_fsw * sea_level_ratio(altitude_ft)


def sea_level_ratio(altitude_ft: float) -> float:
    """Standard air pressure at the sea over that at `altitude_ft`."""
    return SEA_LEVEL_PA / altitude_pressure_pa(altitude_m=to_si(str(altitude_ft), "ft"))


def arrival_group(altitude_ft: float) -> str:
    """The group in which a diver fresh from sea level arrives at `altitude_ft` (up to 10,000 ft, rounded up)."""
    within("altitude_ft", altitude_ft, 0, HIGHEST_FT, "ft")
    return next(group for altitude, group in tables.ARRIVALS.rows if altitude_ft <= int(altitude))


def wait_before_ascent_min(*, group: str, altitude_ft: float, adoption: Adoption | None) -> int:
    """Minutes to wait in `group` before going up to `altitude_ft`, rounded up (8,000 ft for an airliner's cabin)."""
    _require(adoption)
    within("altitude_ft", altitude_ft, 0, HIGHEST_FT, "ft")
    row = next((row for row in tables.WAITS.rows if row[0] == group), None)
    if row is None:
        raise OutOfRange("group", group, f"one of {GROUPS}")
    return int(row[max(1, ceil(altitude_ft / 1000))])


def _require(adoption: Adoption | None) -> None:
    if adoption is None or not adoption.person.strip():
        raise TablesNotAdopted("the no-stop tables are off until a named person has compared them with a printed copy")
    if adoption.digest != DIGEST:
        raise TablesNotAdopted(f"{adoption.person} compared other tables than these: compare them again")


def _after_all(previous: Sequence[PastDive], altitude_ft: float) -> str | None:
    group: str | None = None
    for dive in previous:
        depth = equivalent_depth_fsw(depth_fsw=dive.depth_fsw, altitude_ft=altitude_ft)
        surfaced = group_after(depth_fsw=depth, bottom_min=dive.bottom_min, group_before=group)
        group = after_interval(surfaced, dive.interval_min)
    return group


def _row(depth_fsw: float) -> int:
    depths = [int(row[0]) for row in tables.LIMITS.rows]
    within("depth_fsw", depth_fsw, 0, 1000, "fsw")
    for depth in depths:
        if depth_fsw <= depth:
            return depth
    raise BeyondTheTable("depth_fsw", f"{depth_fsw:.0f}", f"at most {depths[-1]} fsw, altitude included")


def _cell(rows: Sequence[tuple[str, ...]], depth: str, column: int) -> str:
    return next(row[column] for row in rows if row[0] == depth)


def _limit(row: int) -> int | None:
    cell = _cell(tables.LIMITS.rows, str(row), 1)
    return None if cell == UNLIMITED else int(cell)


def _residual(group: str | None, row: int) -> int | None:
    """Residual nitrogen time; 0 without a group, None where the table cannot tell (10 to 20 fsw, high groups)."""
    if group is None:
        return 0
    cell = _cell(tables.RESIDUALS.rows, str(row), 1 + GROUPS.index(group))
    if cell == SEE_30:
        return _residual(group, 30)
    return None if cell == UNDEFINED else int(cell)


def _highest(row: int) -> str:
    cells = _cells(row)
    return [group for group in GROUPS if cells[group] != BLANK][-1]


def _cells(row: int) -> Mapping[str, str]:
    found = next(one for one in tables.LIMITS.rows if one[0] == str(row))
    return dict(zip(GROUPS, found[2:], strict=True))


def problems() -> list[str]:
    """What in the tables cannot be right: rows that do not rise, limits that do not fall. Empty for sound tables."""
    found = []
    for one, deeper in pairwise(tables.LIMITS.rows):
        for column, (here, below) in enumerate(zip(one[1:], deeper[1:], strict=True)):
            if here.isdigit() and below.isdigit() and int(below) > int(here):
                found.append(f"table 9-7, {deeper[0]} fsw, column {column}: {below} after {here}")
    for row in (*tables.LIMITS.rows, *tables.INTERVALS.rows, *tables.RESIDUALS.rows):
        numbers = [int(cell) for cell in row[2 if row in tables.LIMITS.rows else 1 :] if cell.isdigit()]
        found += [f"{row[0]}: {b} after {a}" for a, b in pairwise(numbers) if b < a]
    return found
