"""Small changes to a protocol document: what a safety officer tries, and what the proof's catalogue breaks.

An edit names its place by id, never by position, so that it still means the same after another edit:
`{"in": "rules", "id": "deep", "set": {...}}`, `{"in": "rules", "add": {...}}`,
`{"in": "rules", "id": "deep", "remove": true}` or `{"at": ["lines", "rescue", "value"], "to": "60"}`.
"""

import copy
import json
from collections.abc import Mapping, Sequence
from typing import Any

LISTS = ("rules", "combinations", "controls", "notes", "factors")
KINDS = ("set", "add", "remove")


class EditRefused(ValueError):
    """The edit does not fit the document; `place`, `given` and `accepted` say where and why."""

    def __init__(self, place: str, given: Any, accepted: str) -> None:
        self.place, self.given, self.accepted = place, json.dumps(given, default=str)[:120], accepted
        super().__init__(f"{place}: given {self.given}; accepted: {accepted}")


def edited(document: Mapping[str, Any], edits: Sequence[Any]) -> dict[str, Any]:
    """A copy of `document` with `edits` made in order. Raises EditRefused; the result may still be no protocol."""
    if not isinstance(edits, list):
        raise EditRefused("edits", edits, "a list")
    changed = copy.deepcopy(dict(document))
    for number, edit in enumerate(edits):
        place = f"edits[{number}]"
        if not isinstance(edit, dict):
            raise EditRefused(place, edit, "an object")
        if set(edit) == {"at", "to"}:
            _put(changed, edit["at"], edit["to"], place)
        else:
            _change_entry(changed, edit, place)
    return changed


def _put(document: dict[str, Any], path: Any, value: Any, place: str) -> None:
    """Replace a value that is there, by the names that lead to it."""
    where: Any = document
    for name in path[:-1] if isinstance(path, list) else ():
        where = where.get(name) if isinstance(where, dict) else None
    if not isinstance(where, dict) or path[-1] not in where:
        raise EditRefused(f"{place}.at", path, "names that lead to a value of the document")
    where[path[-1]] = value


def _change_entry(document: dict[str, Any], edit: dict[str, Any], place: str) -> None:
    kinds = [kind for kind in KINDS if kind in edit]
    if edit.get("in") not in LISTS or len(kinds) != 1 or set(edit) - {"in", "id", *kinds}:
        accepted = f"'at' and 'to', or 'in' one of {', '.join(LISTS)} with one of {', '.join(KINDS)}"
        raise EditRefused(place, edit, accepted)
    entries = document[edit["in"]]
    if kinds == ["add"]:
        entries.append(edit["add"])
        return
    ids = [entry.get("id") for entry in entries]
    if edit.get("id") not in ids:
        raise EditRefused(f"{place}.id", edit.get("id"), f"an id of {edit['in']}")
    found = ids.index(edit["id"])
    if kinds == ["set"]:
        entries[found] = {**entries[found], **edit["set"]}
    else:
        del entries[found]
