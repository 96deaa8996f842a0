"""Instants: a time is worth nothing here without its offset from UTC."""

from datetime import UTC, datetime

from opsrisk.physics.ranges import OutOfRange

FIRST_YEAR, LAST_YEAR = 1970, 2100


def utc(argument: str, at: datetime) -> datetime:
    """`at` in UTC. Raises OutOfRange for a time without an offset or outside the years 1970 to 2100.

    >>> from datetime import timedelta, timezone
    >>> utc("at", datetime(2026, 11, 25, 1, 0, tzinfo=timezone(timedelta(hours=-8)))).hour
    9
    """
    if at.tzinfo is None or at.utcoffset() is None:
        raise OutOfRange(argument, at.isoformat(), "a time with its offset from UTC")
    if not FIRST_YEAR <= at.year <= LAST_YEAR:
        raise OutOfRange(argument, at.isoformat(), f"the years {FIRST_YEAR} to {LAST_YEAR}")
    return at.astimezone(UTC)


def minutes_between(earlier: datetime, later: datetime) -> float:
    """Minutes from `earlier` to `later`; negative if they stand the other way round."""
    return (later - earlier).total_seconds() / 60
