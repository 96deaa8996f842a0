"""The vehicle's tracks over the area, in the order in which they are run."""

from collections.abc import Iterator

from opsrisk.assessment.pictures.reading import Json, amount, answers_of, cell, length_unit
from opsrisk.assessment.pictures.svg import (
    PALE,
    QUIET,
    SMALL_SIZE,
    WIDE,
    arrow,
    dot,
    line,
    picture,
    plain,
    rectangle,
    words,
)

TOP, MOST_HIGH, LEFT, MOST_WIDE, BELOW = 40.0, 230.0, 60.0, 380.0, 52.0


def search_pattern(number: Json) -> str:
    """The drawing of a plan's number `search_effort`."""
    unit, answers = length_unit(number), answers_of(number)
    length, width = (amount(number["given"][name], unit) or 1.0 for name in ("length", "width"))
    scale = min(MOST_WIDE / length, MOST_HIGH / width)
    left = LEFT + (MOST_WIDE - length * scale) / 2
    parts = [
        words((LEFT - 52, 18), f"Area {plain(length)} by {plain(width)} {unit}", bold=True),
        rectangle((left, TOP), (left + length * scale, TOP + width * scale), fill=PALE, ink=QUIET, width=1.5),
        *_tracks(answers["pattern"]["rows"], scale, left),
        words((WIDE / 2, TOP + width * scale + 22), _caption(answers), anchor="middle", size=SMALL_SIZE),
        words((WIDE / 2, TOP + width * scale + 40), "tracks along the current where there is one", anchor="middle",
              size=SMALL_SIZE),
    ]  # fmt: skip
    return picture(
        "search", TOP + width * scale + BELOW, title=number["headline"], description=_described(number), parts=parts
    )


def _tracks(rows: list[Json], scale: float, left: float) -> Iterator[str]:
    """Each track as an arrow, joined to the next by a thin line; the first begins with a dot."""
    before = None
    apart = abs(cell(rows[1], "across") - cell(rows[0], "across")) * scale if len(rows) > 1 else MOST_HIGH
    head = max(3.0, min(9.0, 0.7 * apart))
    for row in rows:
        y = TOP + cell(row, "across") * scale
        start, end = (left + cell(row, name) * scale for name in ("starts", "ends"))
        inset = 6 if start < end else -6
        if before is None:
            yield dot((start + inset, y), 5)
        else:
            yield line(before, (start + inset, y), ink=QUIET, width=1)
        yield arrow((start + inset, y), (end - inset, y), width=1.8, head=head)
        before = (end - inset, y)


def _caption(answers: dict[str, Json]) -> str:
    spacing = answers["vehicle_spacing"]
    between = f"{spacing['plan_on']} {spacing['unit']} apart"
    return f"{answers['vehicle_tracks']['plan_on']} tracks, {between}, {answers['vehicle_minutes']['plan_on']} min"


def _described(number: Json) -> str:
    answers = answers_of(number)
    return f"Parallel tracks over the search area, begun at the dot. {_caption(answers)}. {answers['advice']['value']}"
