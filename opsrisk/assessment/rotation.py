"""Who dives when inside one window: one diver at a time, each rested before diving again."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from opsrisk.physics.ranges import OutOfRange, within

MOST_DIVES = 50


@dataclass(frozen=True)
class Turn:
    """One dive: the diver's place in the list (from 1), in and out of the water."""

    diver: int
    enters: datetime
    leaves: datetime


def rotate(
    *,
    opens: datetime, closes: datetime, dive_min: float, between_min: float, divers: int, rest_min: float,
    most_each: int | None = None,
) -> tuple[Turn, ...]:  # fmt: skip
    """The dives of `dive_min` (surface to surface) that end before `closes`, one after another by `divers` people.

    `between_min` from one diver out to the next one in, `rest_min` at the surface before the same person goes
    again, `most_each` dives for each of them. Whoever is ready first goes next: with dives of one length nobody can
    fit more. The surface interval is the agency's; what it does to no-stop times is another look-up. Raises
    OutOfRange for dives outside 1 to 600 min, pauses over 600 min or rests over 1,440 min, or no diver at all.

    >>> from datetime import UTC
    >>> noon = datetime(2026, 11, 25, 12, tzinfo=UTC)
    >>> turns = rotate(opens=noon, closes=noon + timedelta(minutes=120), dive_min=25, between_min=5, divers=2,
    ...                rest_min=60)
    >>> [(turn.diver, turn.enters.strftime("%H:%M")) for turn in turns]
    [(1, '12:00'), (2, '12:30'), (1, '13:25')]
    """
    _check(dive_min, between_min, divers, rest_min)
    ready, dives = [opens] * divers, [0] * divers
    turns: list[Turn] = []
    water_free = opens
    while len(turns) < MOST_DIVES:
        able = [who for who in range(divers) if most_each is None or dives[who] < most_each]
        if not able:
            break
        who = min(able, key=lambda one: (ready[one], dives[one], one))
        enters = max(ready[who], water_free)
        leaves = enters + timedelta(minutes=dive_min)
        if leaves > closes:
            break
        turns.append(Turn(who + 1, enters, leaves))
        dives[who] += 1
        ready[who] = leaves + timedelta(minutes=rest_min)
        water_free = leaves + timedelta(minutes=between_min)
    return tuple(turns)


def _check(dive_min: float, between_min: float, divers: int, rest_min: float) -> None:
    within("dive_min", dive_min, 1, 600, "min")
    within("between_min", between_min, 0, 600, "min")
    within("rest_min", rest_min, 0, 1440, "min")
    if not 1 <= divers <= 20:
        raise OutOfRange("divers", divers, "1 to 20")
