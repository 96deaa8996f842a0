"""Who can fill which position, what is missing, and whether the stated positions survive the list of people.

Everybody fills one position, unless two are named as ones that one person may combine. A team is
covered as far as it can be (augmenting paths, Kuhn 1955): never fewer positions than possible, the
first in the list first, people who are asked for by name first.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from opsrisk.engine.inputs import POSITIONS, STATES

# What a qualification covers beyond the position of its own name. Agency's choice, common practice.
ALSO_ACCEPTED: Mapping[str, tuple[str, ...]] = {
    "standby_diver": ("diver",),
    "diver_tender": ("tender",),
    "standby_tender": ("diver_tender", "tender"),
    "tether_handler": ("vehicle_pilot", "tender"),
}
# In an emergency the vehicle's tether can be let go; every other pair is needed at the same moment.
MAY_COMBINE: tuple[frozenset[str], ...] = (
    frozenset({"tether_handler", "standby_tender"}),
    frozenset({"tether_handler", "medic"}),
)
DIVING = ("diver", "standby_diver")
WORSE = ("yes", "unknown", "no")


@dataclass(frozen=True)
class Member:
    """One person on scene. `fit` is yes, no or unknown; everything else is None where nobody knows it."""

    id: str
    name: str = ""
    qualifications: frozenset[str] | None = None
    fit: str = "unknown"
    hours_awake: float | None = None
    dives_24h: float | None = None

    @staticmethod
    def from_document(person: Mapping[str, Any]) -> "Member":
        """A person of the situation's list; anything absent is unknown."""

        def number(field: str) -> float | None:
            value = person.get(field, "unknown")
            return None if value == "unknown" else float(value)

        stated = person.get("qualifications", "unknown")
        return Member(
            id=person["id"],
            name=person.get("name", person["id"]),
            qualifications=None if stated == "unknown" else frozenset(stated),
            fit=person.get("fit", "unknown"),
            hours_awake=number("hours_awake"),
            dives_24h=number("dives_24h"),
        )

    def may_fill(self, position: str) -> bool:
        """Whether a known qualification of this person covers `position`."""
        return bool((self.qualifications or frozenset()) & {position, *ALSO_ACCEPTED.get(position, ())})


@dataclass(frozen=True)
class Limits:
    """The agency's limits for one person: most hours awake, most dives in 24 h; None where there is none."""

    hours_awake: float | None = None
    dives_24h: float | None = None

    def bars(self, person: Member, position: str) -> str:
        """Why `person` may not stand in `position` today, or an empty text. Unknown bars nobody."""
        if person.fit == "no":
            return f"{person.name} is not fit"
        if self.hours_awake is not None and (person.hours_awake or 0) > self.hours_awake:
            return f"{person.name} has been awake {person.hours_awake:g} h, the limit is {self.hours_awake:g} h"
        if position in DIVING and self.dives_24h is not None and (person.dives_24h or 0) >= self.dives_24h:
            return f"{person.name} has made {person.dives_24h:g} dives in 24 h, the limit is {self.dives_24h:g}"
        return ""


@dataclass(frozen=True)
class Shortfall:
    """Positions that between them have too few people: `people` are all who could fill any of them."""

    positions: tuple[str, ...]
    people: tuple[str, ...]


@dataclass(frozen=True)
class Crew:
    """Who stands where, which positions nobody can take, and the smallest reason for each of those."""

    filled: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]
    shortfalls: tuple[Shortfall, ...]


Slot = tuple[str, ...]  # positions that one person takes together; nearly always one


def cover(
    *,
    needed: Sequence[str],
    people: Sequence[Member],
    limits: Limits,
    asked_for: Mapping[str, str] | None = None,
    may_combine: Sequence[frozenset[str]] = MAY_COMBINE,
) -> Crew:
    """The fullest crew for `needed` (most important first); positions combined only where that fills more.

    `asked_for` names a preferred person for a position; it yields where it would leave another empty.
    """
    best: tuple[int, Crew] | None = None
    for slots in _groupings(tuple(needed), may_combine):
        crew = _match(slots, people, limits, asked_for or {})
        if best is None or len(crew.missing) < best[0]:
            best = (len(crew.missing), crew)
    assert best is not None  # noqa: S101 - the plain grouping always comes first
    return best[1]


def _groupings(needed: Slot, may_combine: Sequence[frozenset[str]]) -> Iterator[tuple[Slot, ...]]:
    """Every way to combine allowed pairs of `needed`, the plain one first."""
    pairs = [pair for pair in may_combine if pair <= set(needed)]
    for chosen in _disjoint(pairs):
        joined = {position: pair for pair in chosen for position in pair}
        slots = [tuple(p for p in needed if p in joined.get(position, {position})) for position in needed]
        yield tuple(dict.fromkeys(slots))


def _disjoint(pairs: list[frozenset[str]]) -> Iterator[tuple[frozenset[str], ...]]:
    yield ()
    for place, pair in enumerate(pairs):
        for rest in _disjoint([other for other in pairs[place + 1 :] if not other & pair]):
            yield (pair, *rest)


def _match(slots: tuple[Slot, ...], people: Sequence[Member], limits: Limits, asked_for: Mapping[str, str]) -> Crew:
    able = {slot: _candidates(slot, people, limits, asked_for) for slot in slots}
    holder: dict[str, Slot] = {}
    short = []
    for slot in slots:
        tried: set[str] = set()
        if not _place(slot, able, holder, tried):
            rivals = [slot, *(holder[person] for person in sorted(tried))]
            short.append(Shortfall(tuple(p for rival in rivals for p in rival), tuple(sorted(tried))))
    filled = {position: person for person, slot in holder.items() for position in slot}
    needed = [position for slot in slots for position in slot]
    return Crew(
        filled=tuple((position, filled[position]) for position in needed if position in filled),
        missing=tuple(position for position in needed if position not in filled),
        shortfalls=tuple(short),
    )


def _place(slot: Slot, able: Mapping[Slot, list[str]], holder: dict[str, Slot], tried: set[str]) -> bool:
    """Finds somebody for `slot`, moving others on where that helps; `tried` collects all who were looked at."""
    for person in able[slot]:
        if person in tried:
            continue
        tried.add(person)
        if person not in holder or _place(holder[person], able, holder, tried):
            holder[person] = slot
            return True
    return False


def _candidates(slot: Slot, people: Sequence[Member], limits: Limits, asked_for: Mapping[str, str]) -> list[str]:
    """Who may take every position of `slot`: the one asked for, then whoever can do least else, then the freshest."""
    fit = [p for p in people if all(p.may_fill(position) and not limits.bars(p, position) for position in slot)]

    def rank(person: Member) -> tuple[bool, int, float, float, str]:
        wanted = any(asked_for.get(position) == person.id for position in slot)
        others = sum(person.may_fill(position) for position in POSITIONS)
        return (not wanted, others, person.hours_awake or 0.0, person.dives_24h or 0.0, person.id)

    return [person.id for person in sorted(fit, key=rank)]


@dataclass(frozen=True)
class Checked:
    """The four states of one position after the check, each yes, no or unknown, never better than stated."""

    filled: str
    qualified: str
    ready: str
    sole_duty: str
    reasons: tuple[str, ...] = ()


def check_positions(
    positions: Mapping[str, Mapping[str, str]], people: Sequence[Mapping[str, Any]], limits: Limits
) -> dict[str, Checked]:
    """Each position as stated, made worse where the list of people contradicts it; a reason for every change.

    A position that names nobody is left as stated: there is nothing to compare.
    """
    members = {person["id"]: Member.from_document(person) for person in people}
    return {name: _checked(name, stated, positions, members, limits) for name, stated in positions.items()}


def _checked(
    name: str,
    stated: Mapping[str, str],
    positions: Mapping[str, Mapping[str, str]],
    members: Mapping[str, Member],
    limits: Limits,
) -> Checked:
    states = {state: stated.get(state, "unknown") for state in STATES}
    person = stated.get("person", "unknown")
    found = [] if person == "unknown" else list(_contradictions(name, person, positions, members, limits))
    for state, answer, _ in found:
        states[state] = max(states[state], answer, key=WORSE.index)
    reasons = tuple(reason for _, _, reason in found)
    return Checked(states["filled"], states["qualified"], states["ready"], states["sole_duty"], reasons)


def _contradictions(
    name: str,
    person: str,
    positions: Mapping[str, Mapping[str, str]],
    members: Mapping[str, Member],
    limits: Limits,
) -> Iterator[tuple[str, str, str]]:
    """(state, what it is at best, reason) for everything in which the list says less than the position claims."""
    elsewhere = [other for other, held in positions.items() if other != name and held.get("person") == person]
    if elsewhere:
        yield "sole_duty", "no", f"{person} is also named as {' and '.join(elsewhere)}"
    member = members.get(person)
    if member is None:
        yield "filled", "no", f"{person} is not in the list of people"
        return
    if member.qualifications is None:
        yield "qualified", "unknown", f"the qualifications of {member.name} are not known"
    elif not member.may_fill(name):
        yield "qualified", "no", f"{member.name} has no qualification for {name}"
    barred = limits.bars(member, name)
    if barred:
        yield "ready", "no", barred
