"""Who has said back what: one line of state on page one, a row for each person behind it, and the closing call."""

from collections.abc import Mapping

from opsrisk.assessment import commander
from opsrisk.assessment.language import as_written
from opsrisk.assessment.told import GAINS, ITEMS
from opsrisk.assessment.words import one_line
from opsrisk.briefing.sheet import standing
from opsrisk.briefing.sheet.blocks import Block, Row
from opsrisk.briefing.sheet.given import Given, Json

HEAD = ("Person and post", "Task; limit; abort signal on this sheet", "Said back", "Heard by, time")
COULD_NOT = "could not say it"  # as the tablet offers it
COMMANDER_HEAD = ("Name", "Decision; risk; gain on this sheet", "Said back", "Heard by, time")
TO_WRITE = "_" * 40
IN_A_CELL = 200  # letters of a gain; page one or its continuation has the whole of it
EARLIER_HEAD = ("Own task, limit and recall signal said back by", "Signed on the tablet", "Heard by", "Time")


def front(given: Given) -> list[Block]:
    """Page one: complete or not, and who is left; the incident commander's name, or a line to write it on."""
    rows = [Row(value=one_line(given.briefing["words"]))] if given.briefing else []
    asked = _commander_rows(given)
    return [
        Block("briefed", "Briefing", tuple(rows), "run", floor=1, longest=3),
        # A block of its own: page one shows at least one row of each, however full it is.
        Block("commander", "Incident commander", tuple(asked), "run", floor=1),
    ]


def back(given: Given) -> list[Block]:
    """A row for each person: what is to be said, what was said, who heard it; room for a pencil where it is open."""
    state = given.briefing
    if state is None or (not any(loop["tries"] for loop in state["loops"]) and given.brief.get("read_backs")):
        return [_before_signing(given), *_commander(given)]
    rows = tuple(Row(cells=_cells(loop, given)) for loop in state["loops"])
    blocks = [Block("brief-back", "Brief-back", rows, "table", head=HEAD), *_commander(given)]
    if state["rounds"]:
        blocks.append(Block("rounds", "Briefing rounds", tuple(_round(one, given) for one in state["rounds"])))
    return blocks


def end(given: Given) -> str:
    """The last item: the completion call, said by the sheet only once it is true."""
    if given.void is not None:
        return "End of sheet. VOID: do not work by it."
    if given.briefing and given.briefing["ready"]:
        return f"{one_line(given.briefing['words'])}. End of sheet."
    return standing.END


def _cells(loop: Json, given: Given) -> tuple[str, ...]:
    has_to_say = "; ".join(_own(loop, item, one_line(loop["told"][item])) or standing.NOT_WRITTEN for item in ITEMS)
    heard = f"{as_written(loop['heard_by'])}, {given.clock.short(loop['at'])}" if loop["at"] else ""
    return (f"{_named(loop['name'])}, {loop['posts']}", has_to_say, _said(loop), heard)


def _named(name: str) -> str:
    """A name; what stands for somebody without one is in our own words."""
    return name if name.startswith("Somebody else, ") else as_written(name)


def _own(loop: Json, item: str, words: str) -> str:
    """Words of our own for a task or a limit; anything else is what somebody said or wrote."""
    ours = (loop["told"][item], *loop["choices"][item], COULD_NOT) if item != "abort" else (COULD_NOT,)
    return words if words in ours else as_written(words)


def _said(loop: Json) -> str:
    if loop["state"] == "open":
        return "OPEN"
    words = "; ".join(_item(loop, item) for item in ITEMS)
    if loop["state"] == "closed":
        return words
    return f"OPEN again ({', '.join(loop['because'])}). Before: {words}"


def _item(loop: Json, item: str) -> str:
    said = _own(loop, item, one_line(loop["said"][item]))
    return said if loop["right"][item] else f"{said} (not as on the sheet)"


def _round(one: Json, given: Given) -> Row:
    seconds = one["seconds"]
    took = "nobody has said anything back yet" if seconds is None else f"{seconds // 60} min {seconds % 60} s"
    told = f"{len(one['present'])} present; {one['tries']} read-backs of {one['people']} people"
    wrong = f", {one['not_right']} not as on the sheet" if one["not_right"] else ""
    after = "; a new revision followed" if one["led_to_a_change"] else ""
    label = f"Revision {one['revision']}, from {given.clock.short(one['began_at'])}"
    return Row(label=label, value=took, note=told + wrong + after)


def _commander_rows(given: Given) -> list[Row]:
    """Open at the press, it is a line for a pencil: whoever holds the sheet writes name and time."""
    if given.void is not None or not commander.needed(given.record):
        return []
    state = (given.briefing or {}).get("commander") or {}
    if state.get("state") != "closed":
        return [Row(label="OPEN. Name, time", value=TO_WRITE)]
    heard = f"{given.clock.short(state['at'])}, heard by {as_written(state['heard_by'])}"
    return [Row(label="Accepts the risk", value=as_written(state["name"]), note=heard)]


def _commander(given: Given) -> list[Block]:
    """What the incident commander has to say back and said; the first cell is empty where nobody has yet."""
    why = commander.reasons(given.record)
    if not why:
        return []
    told = commander.to_say(given.record)
    to_say = "; ".join(_ours(given, item, words) or standing.NOT_WRITTEN for item, words in told.items())
    state = (given.briefing or {}).get("commander") or {"state": "open"}
    name, said, heard = "", "OPEN", ""
    if state["state"] != "open":
        name, heard = as_written(state["name"]), f"{as_written(state['heard_by'])}, {given.clock.short(state['at'])}"
        said = "; ".join(_commanded(given, state, item) for item in commander.ITEMS)
        said = said if state["state"] == "closed" else f"OPEN again ({', '.join(state['because'])}). Before: {said}"
    row = Row(cells=(name, to_say, said, heard))
    return [
        Block("brief-back-commander", "Incident commander", (row,), "table", head=COMMANDER_HEAD, total=". ".join(why))
    ]


def _commanded(given: Given, state: Json, item: str) -> str:
    said = _ours(given, item, state["said"][item])
    return said if state["right"][item] else f"{said} (not as on the sheet)"


def _ours(given: Given, item: str, words: str) -> str:
    """Words of our own; what somebody wrote or said in other words is left as it is, as much as a cell takes."""
    ours = (*commander.choices(given.record)[item], COULD_NOT) if item != "gain" else (*GAINS, COULD_NOT)
    if words in ours:
        return words
    return as_written(words if len(words) <= IN_A_CELL else f"{words[: IN_A_CELL - 2].rstrip()} …")


def _before_signing(given: Given) -> Block:
    """Records whose read-backs were noted before signing, and any sheet of which the log is not at hand."""
    briefed = {
        str(s.get("person")): given.clock.short(s.get("at")) for s in given.signatures if s.get("meaning") == "briefed"
    }
    people = {
        str(e.get("person")): given.person(e.get("person"))
        for _, e in given.entries("positions")
        if isinstance(e, Mapping) and e.get("person")
    }
    heard = {str(one.get("person")): one for one in given.brief.get("read_backs") or () if isinstance(one, Mapping)}
    rows = []
    for who, name in people.items():
        said = heard.get(who, {})
        words = f"{name}: {', '.join(said['repeated'])}" if said.get("repeated") else name
        when = given.clock.short(said["at"]) if said.get("at") else ""
        rows.append(Row(cells=(words, briefed.get(who, ""), given.person(said.get("heard_by")), when)))
    return Block("brief-back", "Brief-back", tuple(rows), "table", head=EARLIER_HEAD)
