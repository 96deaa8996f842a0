"""Two versions of a protocol side by side: what was added, removed and changed, in words.

Knows no framework and no database: an auditor can run it on two exported documents.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from opsrisk.protocols.no_stop_tables import adoption_words
from opsrisk.protocols.places import LISTS, Place, entry_at, places
from opsrisk.protocols.words import aspects, title_of

ADDED, REMOVED, CHANGED = "added", "removed", "changed"


@dataclass(frozen=True)
class Change:
    """One entry that differs. `rows` are (what, before, after); '' where one side says nothing."""

    place: Place
    kind: str
    title: str
    rows: tuple[tuple[str, str, str], ...]


def compare(before: str, after: str) -> tuple[Change, ...]:
    """Every entry that differs between the documents `before` and `after`, in the order of the second."""
    return tuple(changes(json.loads(before), json.loads(after)))


def changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Change]:
    """The same for documents that were read already."""
    ours = list(places(after))
    gone = [place for place in places(before) if entry_at(after, place) is None]
    for place in (*ours, *gone):
        former, now = entry_at(before, place), entry_at(after, place)
        if former == now:
            continue
        kind = ADDED if former is None else REMOVED if now is None else CHANGED
        title = title_of(place, former if now is None else now)
        yield Change(place, kind, title, tuple(_rows(place, former, now)))
    was, says = adoption_words(before), adoption_words(after)
    if was != says:
        kind = ADDED if not was else REMOVED if not says else CHANGED
        rows = ((name, was.get(name, ""), says.get(name, "")) for name in was | says if was.get(name) != says.get(name))
        yield Change(Place("no_stop_adoption", "tables"), kind, "No-stop tables", tuple(rows))
    if _order(before, after) != _order(after, before):
        yield Change(Place("heading", "title"), CHANGED, "Order of the entries", (("Order", "another", "this"),))


def _order(of: Mapping[str, Any], other: Mapping[str, Any]) -> list[Place]:
    """The entries of lists that both documents have, in the order of the first."""
    return [place for place in places(of) if place.section in LISTS and entry_at(other, place) is not None]


def _rows(place: Place, former: Any, now: Any) -> Iterator[tuple[str, str, str]]:
    """The aspects that differ. Where the words are the same although the entries are not, that is said."""
    was = {} if former is None else aspects(place, former)
    says = {} if now is None else aspects(place, now)
    names = [*says, *(name for name in was if name not in says)]
    rows = [(name, was.get(name, ""), says.get(name, "")) for name in names if was.get(name) != says.get(name)]
    yield from rows or [("Written otherwise, to the same effect", "", "")]
