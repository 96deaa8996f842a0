"""The current over the hours, the limit, the usable part of each window, when to measure again and when to recall."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from opsrisk.assessment.pictures.reading import Json, amount, answers_of
from opsrisk.assessment.pictures.svg import (
    FAINT,
    INK,
    PALE,
    QUIET,
    SMALL_SIZE,
    Scale,
    line,
    path,
    picture,
    plain,
    rectangle,
    shape,
    ticks,
    words,
)

HIGH, TOP, BOTTOM, LEFT, RIGHT = 336.0, 40.0, 222.0, 44.0, 466.0
BAR, MARKS = 248.0, 280.0
LABEL = 125.0  # width of the words about the vehicle
MOST_HOURS = 8


def window_chart(number: Json, vehicle_kn: float | None = None) -> str:
    """The drawing of a plan's window; `vehicle_kn` adds the current that the vehicle holds as a second limit."""
    answers = answers_of(number)
    curve = [(datetime.fromisoformat(row["at"]), float(row["speed"])) for row in answers["curve"]["rows"]]
    limit = amount(number["given"].get("limit"), "kn") or 0.0
    first = curve[0][0] if curve else datetime.fromisoformat(number["given"]["start"])
    minutes = max(60.0, (curve[-1][0] - first).total_seconds() / 60) if curve else 60.0
    greatest = max([limit * 1.4, *(abs(speed) for _, speed in curve), vehicle_kn or 0.0]) * 1.08
    across = Scale(0.0, minutes, LEFT, RIGHT)
    lowest = -greatest if any(speed < 0 for _, speed in curve) else 0.0
    up = Scale(lowest, greatest, BOTTOM, TOP)
    parts = [
        *_ground(up, across, limit),
        *_names(up, across, limit, vehicle_kn, [((at - first).total_seconds() / 60, speed) for at, speed in curve]),
        *_hours(first, minutes, across),
        path([(across((at - first).total_seconds() / 60), up(speed)) for at, speed in curve], width=2.5),
        *_windows(answers["windows"]["rows"], first, across, minutes),
    ]
    return picture("window", HIGH, title=number["headline"], description=_described(number), parts=parts)


def _ground(up: Scale, across: Scale, limit: float) -> Iterator[str]:
    """Axis, the band in which the limit is kept, and the limit."""
    yield words((LEFT - 36, 18), "Current, kn", bold=True)
    low = max(-limit, up.low)
    yield rectangle((across(across.low), up(limit)), (across(across.high), up(low)), fill=PALE)
    for speed in ticks(up.low, up.high, 5):
        yield line((LEFT, up(speed)), (RIGHT, up(speed)), ink=FAINT, width=0.8)
        yield words((LEFT - 6, up(speed) + 5), plain(abs(speed)), anchor="end", size=SMALL_SIZE)
    if up.low < 0:
        yield words((RIGHT, up(up.high) + 12), "flood", anchor="end", size=SMALL_SIZE)
        yield words((RIGHT, up(up.low) - 4), "ebb", anchor="end", size=SMALL_SIZE)
        yield line((LEFT, up(-limit)), (RIGHT, up(-limit)), width=1.5, dash="8 4")
    yield line((LEFT, up(limit)), (RIGHT, up(limit)), width=1.5, dash="8 4")


def _names(
    up: Scale, across: Scale, limit: float, vehicle_kn: float | None, curve: Sequence[tuple[float, float]]
) -> Iterator[str]:
    """The limit's name under its line, and the current that the vehicle holds over its own, each where the curve is
    furthest from it."""
    left = _clear(up, across, curve, up(limit) + 9, LABEL / 2)
    yield words((left, up(limit) + 14), f"limit {plain(limit)}", size=SMALL_SIZE, bold=True)
    if vehicle_kn is not None and vehicle_kn > 0:
        yield line((LEFT, up(vehicle_kn)), (RIGHT, up(vehicle_kn)), ink=QUIET, width=1.5, dash="2 3")
        left = _clear(up, across, curve, up(vehicle_kn) - 9, LABEL)
        yield words((left, up(vehicle_kn) - 5), f"vehicle holds {plain(vehicle_kn)}", size=SMALL_SIZE)


def _clear(up: Scale, across: Scale, curve: Sequence[tuple[float, float]], y: float, wide: float) -> float:
    """Where words of this width at height `y` begin, so that the curve stays furthest away."""

    def room(left: float) -> float:
        near = [speed for minute, speed in curve if left - 10 <= across(minute) <= left + wide + 10]
        return min((abs(up(speed) - y) for speed in near), default=BOTTOM)

    return max((RIGHT - wide - step * 30 for step in range(int((RIGHT - LEFT - wide) / 30))), key=room)


def _hours(first: datetime, minutes: float, across: Scale) -> Iterator[str]:
    """Whole hours under the curve, no more than fit."""
    step = next(hours for hours in (1, 2, 3, 4, 6, 12, 24) if minutes / 60 / hours <= MOST_HOURS)
    at = first.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
    while (at - first).total_seconds() / 60 <= minutes:
        if at.hour % step == 0:
            x = across((at - first).total_seconds() / 60)
            yield line((x, TOP), (x, BAR + 22), ink=FAINT, width=0.8)
            if x <= RIGHT - 18:  # a label at the very edge would be cut
                yield words((x, HIGH - 8), at.strftime("%H:%M"), anchor="middle", size=SMALL_SIZE)
        at += timedelta(hours=1)


def _minute(iso: str, first: datetime) -> float:
    return (datetime.fromisoformat(iso) - first).total_seconds() / 60


def _windows(rows: Sequence[Json], first: datetime, across: Scale, minutes: float) -> Iterator[str]:
    """Each window as a bar: outlined as forecast, black where it may be used; recall and looks as marks below."""
    yield words((LEFT - 36, BAR - 4), "window", size=SMALL_SIZE)
    for place, row in enumerate(rows):
        starts, ends = (max(0.0, min(minutes, _minute(row[end], first))) for end in ("starts", "ends"))
        yield rectangle((across(starts), BAR), (across(ends), BAR + 16), fill="#ffffff", ink=INK, width=1.5)
        if row["usable_starts"] is None:
            continue
        opens, closes = (max(0.0, min(minutes, _minute(row[f"usable_{end}"], first))) for end in ("starts", "ends"))
        yield rectangle((across(opens), BAR), (across(closes), BAR + 16), fill=INK)
        yield from _marks(row, first, across, minutes, place)


def _marks(row: Json, first: datetime, across: Scale, minutes: float, place: int) -> Iterator[str]:
    """A triangle for each look at the current, a line up through the picture for the recall."""
    for at in filter(None, row["rechecks"].split(", ")):
        when = _minute(at, first)
        if 0 <= when <= minutes:
            x = across(when)
            yield shape([(x, BAR + 20), (x - 5, BAR + 29), (x + 5, BAR + 29)], fill=INK)
    if row["recall"] is None:
        return
    when = _minute(row["recall"], first)
    if 0 <= when <= minutes:
        x = across(when)
        yield line((x, TOP), (x, MARKS + 4), width=2, dash="3 3")
        # Neighbouring windows are hours apart, their labels are not: they take turns in two rows.
        text = f"recall {datetime.fromisoformat(row['recall']).strftime('%H:%M')}"
        yield words(
            (min(x, RIGHT - 44), MARKS + 18 + 14 * (place % 2)), text, anchor="middle", size=SMALL_SIZE, bold=True
        )


def _described(number: Json) -> str:
    rows = answers_of(number)["windows"]["rows"]
    usable = [row for row in rows if row["usable_starts"] is not None]
    told = "; ".join(
        f"usable {_clock(row['usable_starts'])} to {_clock(row['usable_ends'])}, recall {_clock(row['recall'])}"
        for row in usable
    )
    return f"Current over time with the limit. {told or 'No usable window.'} Triangles: measure the current again."


def _clock(iso: str) -> str:
    return datetime.fromisoformat(iso).strftime("%H:%M")
