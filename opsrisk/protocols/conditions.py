"""A condition as it is edited: taken apart into lines, and put together again with one thing changed.

A path leads from the outermost condition inwards: '' is all of it, '1' its second part, '1-0' the first part of that,
'n' what stands inside a 'not'.
"""

import copy
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from opsrisk.engine.inputs import INPUTS, Configuration, Quantity

JOINS = {"all": "All of these", "any": "Any of these", "not": "Not this"}
OTHER = {"all": "any", "any": "all"}


@dataclass(frozen=True)
class Line:
    """One line of a condition: a join with the lines inside it, or a single limit."""

    path: str
    depth: int
    join: str  # all, any, not; '' for a limit
    limit: Mapping[str, Any] | None

    @property
    def words(self) -> str:
        return JOINS.get(self.join, "")


def lines(condition: Any, path: str = "", depth: int = 0) -> Iterator[Line]:
    """The lines of `condition`, outermost first."""
    if not isinstance(condition, Mapping):
        return
    join = next((join for join in JOINS if join in condition), "")
    yield Line(path, depth, join, None if join else condition)
    if join == "not":
        yield from lines(condition["not"], _within(path, "n"), depth + 1)
    elif join:
        for number, part in enumerate(condition[join]):
            yield from lines(part, _within(path, str(number)), depth + 1)


def new_limit(name: str) -> dict[str, Any]:
    """A limit on the input `name`, as bad as it gets; for a quantity the number is still to be typed."""
    item = INPUTS[name]
    if isinstance(item, Quantity):
        return {"input": name, "worse_than": "", "unit": item.units[0]}
    comparison = "is" if isinstance(item, Configuration) else "as_bad_as"
    return {"input": name, comparison: item.values[-1]}


def replaced(condition: Any, path: str, by: Any) -> Any:
    """`condition` with the part at `path` replaced; None takes it out, and a join left empty with it.

    Raises LookupError for a path that leads nowhere.
    """
    if path == "":
        return copy.deepcopy(by)
    step, _, rest = path.partition("-")
    made = dict(condition)
    if step == "n" and "not" in made:
        inside = replaced(made["not"], rest, by)
        return None if inside is None else {"not": inside}
    join = next((join for join in OTHER if join in made), "")
    if not join or not step.isdigit() or int(step) >= len(made[join]):
        raise LookupError(path)
    parts = list(made[join])
    inside = replaced(parts[int(step)], rest, by)
    parts[int(step) : int(step) + 1] = [] if inside is None else [inside]
    return {join: parts} if parts else None


def part_at(condition: Any, path: str) -> Any:
    """The part of `condition` at `path`. Raises LookupError."""
    if path == "":
        return condition
    found = next((line for line in lines(condition) if line.path == path), None)
    if found is None:
        raise LookupError(path)
    at = condition
    for step in path.split("-"):
        at = at["not"] if step == "n" else at[next(join for join in OTHER if join in at)][int(step)]
    return at


def rebuilt(condition: Any, act: str, path: str, name: str = "") -> Any:
    """`condition` after one act on the part at `path`. Raises LookupError for an unknown act, path or input.

    drop takes it out; turn makes 'all' of 'any' and back; negate puts it inside a 'not', or takes that away;
    and, or put a new limit on the input `name` beside it.
    """
    part = part_at(condition, path)
    if act == "drop":
        return replaced(condition, path, None)
    if act == "negate":
        return replaced(condition, path, part.get("not", {"not": part}))
    if act == "turn":
        join = next(join for join in OTHER if join in part)
        return replaced(condition, path, {OTHER[join]: part[join]})
    join = {"and": "all", "or": "any"}[act]
    added = new_limit(name)
    return replaced(condition, path, {join: [*part[join], added]} if join in part else {join: [part, added]})


def _within(path: str, step: str) -> str:
    return f"{path}-{step}" if path else step
