"""Whether a briefing is complete: every person on the sheet has said back own task, limit and abort signal, and the
incident commander what stays of the risk, where it is so high that it goes there.

Read from signed records and the lines of the operation's log, the same on desk, tablet and paper. A loop that was
closed on an earlier revision stays closed as long as nothing changed that concerns that person; else it is open again,
and says why. Complete is about the briefing and promises nothing about the dive.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from opsrisk.assessment import commander, told
from opsrisk.assessment.words import POSITION_NAMES, Clock, one_line

Json = Mapping[str, Any]
COMPLETE = "Briefing complete - all briefed back"
KINDS = ("briefing", "read_back", "commander")
OF_A_ROUND = ("briefing", "read_back")
UNNAMED = ("guest-", "position:")
MOST_NAMED = 3  # of those who are left, in the one line of state
SHORTER = "the end of the decision"


@dataclass(frozen=True)
class _On:
    """The record that is briefed, among those that are known, and what people are called."""

    known: Mapping[str, Json]
    digest: str
    names: Mapping[str, str]

    @property
    def record(self) -> Json:
        found: Json = self.known[self.digest]["record"]
        return found


def standing(records: Iterable[Json], voided: Iterable[str] = ()) -> list[Json]:
    """The revisions that no other one replaced; more than one where two tablets signed apart."""
    known, void = list(records), set(voided)
    replaced = {one["record"].get("previous") for one in known}
    replaced |= {digest for one in known for digest in one["record"].get("merges") or ()}
    return [one for one in known if one["digest"] not in replaced and one["digest"] not in void]


def briefing(
    digest: str, records: Sequence[Json], lines: Iterable[Json], names: Mapping[str, str], voided: Iterable[str] = ()
) -> dict[str, Any]:
    """The state of the briefing on the record `digest`.

    `records` are {record, digest, signatures} of one operation, `lines` its log in the order of the server, `voided`
    the digests of records that were declared void.
    """
    known = {str(one["digest"]): one for one in records}
    record = known[digest]["record"]
    on = _On(known, digest, {**_guests(record), **names})
    told_lines = [line for line in lines if line.get("kind") in KINDS]
    spoken = _read_backs(told_lines)
    loops = [_loop(key, held, on, spoken.get(key, [])) for key, held in listed(known[digest]).items()]
    goes_to = _commander(on, [line for line in told_lines if line["kind"] == "commander"])
    lacking = [*_standing_faults(digest, standing(known.values(), voided), voided), *_lacking(record, loops, goes_to)]
    clock = Clock.of(record["situation"].get("assessed_at") or record.get("made_at"))
    closed = [one["at"] for one in (*loops, goes_to) if one and one["state"] == "closed"]
    done = max(closed, key=_seconds, default="")
    ready = not lacking
    return {
        "record": digest,
        "revision": record.get("revision"),
        "ready": ready,
        "words": f"{COMPLETE} {clock.short(done)}" if ready else "Not ready: " + "; ".join(lacking),
        "lacking": lacking,
        "loops": loops,
        "commander": goes_to,
        "rounds": rounds(known.values(), told_lines),
    }


def listed(signed: Json) -> dict[str, tuple[str, ...]]:
    """Everybody on the sheet but who decided, who is the one that briefs: key to the positions held.

    The key is the person; a position that is filled by somebody without a name is a key of its own.
    """
    record = signed["record"]
    deciders = {str(one.get("person")) for one in signed.get("signatures") or () if one.get("meaning") == "decided"}
    found: dict[str, tuple[str, ...]] = {}
    for name, entry in told.positions(record).items():
        key = str(entry.get("person") or f"position:{name}")
        found[key] = (*found.get(key, ()), name)
    people = record["situation"].get("people")
    for person in people if isinstance(people, list) else ():
        found.setdefault(str(person.get("id")), ())
    return {key: held for key, held in found.items() if key not in deciders}


def rounds(records: Iterable[Json], lines: Iterable[Json]) -> list[dict[str, Any]]:
    """One entry for each revision that was briefed: who was present, from when to when, tries, whether it changed."""
    known = list(records)
    found = []
    for one in sorted(known, key=lambda each: int(each["record"].get("revision") or 0)):
        said = [line for line in lines if line["kind"] in OF_A_ROUND]
        mine = [line for line in said if line["content"].get("record") == one["digest"]]
        if mine:
            found.append(_round(one, mine, known))
    return found


def right(content: Json) -> bool:
    """Whether all three items were said as they stand on the sheet, and a commander accepts what they say."""
    items = told.ITEMS if "task" in content else commander.ITEMS
    return content.get("accepts", True) is True and all(content[item].get("right") is True for item in items)


def _round(one: Json, mine: Sequence[Json], known: Sequence[Json]) -> dict[str, Any]:
    begun = [line for line in mine if line["kind"] == "briefing"]
    said = [line for line in mine if line["kind"] == "read_back"]
    first = min((line["at"] for line in begun or mine), key=_seconds)
    last = max((line["at"] for line in said), key=_seconds, default="")
    return {
        "record": one["digest"],
        "revision": one["record"].get("revision"),
        "began_at": first,
        "last_at": last,
        "seconds": round(_seconds(last) - _seconds(first)) if last else None,
        "present": sorted({who for line in begun for who in line["content"]["present"]}),
        "tries": len(said),
        "not_right": sum(not right(line["content"]) for line in said),
        "people": len({line["content"]["loop"] for line in said}),
        "led_to_a_change": any(other["record"].get("previous") == one["digest"] for other in known),
    }


def _read_backs(lines: Iterable[Json]) -> dict[str, list[Json]]:
    found: dict[str, list[Json]] = {}
    for line in lines:
        if line["kind"] == "read_back":
            found.setdefault(str(line["content"]["loop"]), []).append(line)
    return found


def _loop(key: str, held: tuple[str, ...], on: _On, tries: Sequence[Json]) -> dict[str, Any]:
    last = _counting(tries, on) if tries else None
    state, because = _state(key, held, on, last)
    content = last["content"] if last else {}
    return {
        "key": key,
        "person": "" if key.startswith("position:") else key,
        "name": _name(key, held, on.names),
        "positions": list(held),
        "posts": ", ".join(POSITION_NAMES[name] for name in held) or "No position",
        "told": told.told(on.record, held),
        "choices": told.choices(on.record, held),
        "state": state,
        "because": because,
        "said": {item: one_line(content[item].get("said")) for item in told.ITEMS} if last else {},
        "right": {item: content[item].get("right") is True for item in told.ITEMS} if last else {},
        "heard_by": on.names.get(str(content.get("heard_by")), str(content.get("heard_by", ""))),
        "at": str(last["at"]) if last else "",
        "tries": len(tries),
    }


def _commander(on: _On, tries: Sequence[Json]) -> dict[str, Any] | None:
    """What the incident commander is to say back of the risk that stays, and said; None where nothing goes there."""
    why = commander.reasons(on.record)
    if not why:
        return None
    last = _counting(tries, on) if tries else None
    state, because = _commander_state(on, last)
    content = last["content"] if last else {}
    return {
        "why": why,
        "told": commander.to_say(on.record),
        "choices": commander.choices(on.record),
        "state": state,
        "because": because,
        "barred": sorted(_barred(on)),
        "name": one_line(content.get("name")),
        "said": {item: one_line(content[item].get("said")) for item in commander.ITEMS} if last else {},
        "right": {item: content[item].get("right") is True for item in commander.ITEMS} if last else {},
        "accepts": content.get("accepts") is True,
        "heard_by": on.names.get(str(content.get("heard_by")), str(content.get("heard_by", ""))),
        "at": str(last["at"]) if last else "",
        "tries": len(tries),
    }


def _commander_state(on: _On, last: Json | None) -> tuple[str, list[str]]:
    """open, wrong, reopened or closed, as of the others; nobody takes a risk on that is their own."""
    if last is None:
        return "open", []
    content = last["content"]
    slips = [commander.ITEM_WORDS[item].lower() for item in commander.ITEMS if content[item].get("right") is not True]
    wrong = ["not said as on the sheet: " + ", ".join(slips)] if slips else []
    if content.get("accepts") is not True:
        wrong.insert(0, "the incident commander does not accept the risk")
    if one_line(content.get("name")).casefold() in {name.casefold() for name in _barred(on)}:
        wrong.append("who decided or goes in cannot be the one to whom the risk goes")
    if wrong:
        return "wrong", wrong
    heard_on = str(content["record"])
    if heard_on not in on.known:
        return "reopened", ["said back on a revision that is not here"]
    old = on.known[heard_on]["record"]
    was, now = (commander.facts(one, {**on.names, **_guests(one)}) for one in (old, on.record))
    changes = [] if heard_on == on.digest else _differing(was, now)
    return ("reopened", changes) if changes else ("closed", [])


def _barred(on: _On) -> set[str]:
    """Names of those to whom their own risk cannot go: who decided, and who goes in."""
    signatures = on.known[on.digest].get("signatures") or ()
    decided = {one_line(one.get("name")) for one in signatures if one.get("meaning") == "decided"}
    filled = told.positions(on.record)
    diving = {on.names.get(str(filled[name].get("person")), "") for name in told.IN_THE_WATER if name in filled}
    return (decided | diving) - {""}


def _counting(tries: Sequence[Json], on: _On) -> Json:
    """The try that counts: the last to arrive of those on this record, else of all; before them one on a revision that
    is not here, since that may be the newer one.

    A tablet without a network sends late. What was said right there does not close what was said otherwise since, by
    the tablets' clocks as far as their offsets are known: only a later right one does.
    """
    if tries[-1]["content"]["record"] not in on.known:
        return tries[-1]
    here = [line for line in tries if line["content"]["record"] == on.digest] or list(tries)
    otherwise = [line for line in here if not right(line["content"]) and _when(line) > _when(here[-1])]
    return max(otherwise, key=_when) if otherwise else here[-1]


def _when(line: Json) -> float:
    offset = (line.get("device") or {}).get("offset_s")
    return _seconds(line["at"]) + (float(offset) if isinstance(offset, int | float) else 0.0)


def _state(key: str, held: tuple[str, ...], on: _On, last: Json | None) -> tuple[str, list[str]]:
    """open, wrong, reopened or closed; and why, where it was said before."""
    if last is None:
        return "open", []
    if not right(last["content"]):
        slips = [told.ITEM_WORDS[item].lower() for item in told.ITEMS if last["content"][item].get("right") is not True]
        return "wrong", ["not said as on the sheet: " + ", ".join(slips)]
    heard_on = str(last["content"]["record"])
    if heard_on == on.digest:
        return "closed", []
    if heard_on not in on.known:
        return "reopened", ["said back on a revision that is not here"]
    before = listed(on.known[heard_on]).get(key)
    if before is None:
        return "reopened", ["was not on that sheet"]
    old = on.known[heard_on]["record"]
    changes = _changes(old, before, on.record, held, on.names)
    if key.startswith(UNNAMED) and not _same_guest(key, old, on.record):
        changes.insert(0, "said back on an earlier revision by somebody without a name")
    return ("reopened", changes) if changes else ("closed", [])


def _changes(
    old: Json, held_before: tuple[str, ...], new: Json, held: tuple[str, ...], names: Mapping[str, str]
) -> list[str]:
    was = told.facts(old, held_before, {**names, **_guests(old)})
    now = told.facts(new, held, {**names, **_guests(new)})
    found = _differing(was, now)
    # A later end makes nobody stay longer than told; an earlier one does.
    ends = told.until(old), told.until(new)
    if ends[1] and (ends[0] is None or ends[1] < ends[0]):
        clock = Clock.of(new["situation"].get("assessed_at") or new.get("made_at"))
        found.append(f"{SHORTER}: now {clock.short(ends[1].isoformat())}, earlier than told")
    return found


def _differing(was: Mapping[str, str], now: Mapping[str, str]) -> list[str]:
    return [
        f"{name}: was {was.get(name, 'not filled')}, now {now.get(name, 'not filled')}"
        for name in dict.fromkeys((*now, *was))
        if was.get(name) != now.get(name)
    ]


def _standing_faults(digest: str, stand: Sequence[Json], voided: Iterable[str]) -> list[str]:
    if digest in set(voided):
        return ["this record is void"]
    if digest not in {one["digest"] for one in stand}:
        return ["a later revision stands"]
    return ["two revisions stand, signed apart: put them together first"] if len(stand) > 1 else []


def _lacking(record: Json, loops: Sequence[Json], goes_to: Json | None) -> list[str]:
    left = [loop["name"] for loop in loops if loop["state"] != "closed"]
    found = []
    if not loops:
        found.append("no position has a name")
    if left:
        more = f" and {len(left) - MOST_NAMED} more" if len(left) > MOST_NAMED else ""
        found.append(f"{len(left)} of {len(loops)} not briefed back ({'; '.join(left[:MOST_NAMED])}{more})")
    if told.enters(record) and not one_line((record.get("brief") or {}).get("gain")):
        found.append("no gain is stated although people go in")
    if goes_to and goes_to["state"] != "closed":
        found.append("the incident commander has not acknowledged the risk")
    return found


def _guests(record: Json) -> dict[str, str]:
    """Names that stand in the record itself, of people who are on no roster."""
    people = record["situation"].get("people")
    return {
        str(one.get("id")): one_line(one["name"])
        for one in (people if isinstance(people, list) else ())
        if one.get("name")
    }


def _same_guest(key: str, old: Json, new: Json) -> bool:
    """Whether both records name the same person here: without a name it may be anybody."""
    was, now = _guests(old).get(key), _guests(new).get(key)
    return bool(was) and was == now


def _name(key: str, held: tuple[str, ...], names: Mapping[str, str]) -> str:
    if names.get(key):
        return names[key]
    post = ", ".join(POSITION_NAMES[name].lower() for name in held)
    return f"Somebody else, {post}" if key.startswith(UNNAMED) else key


def _seconds(at: str) -> float:
    """A moment as a number to compare and subtract; what cannot be read comes first."""
    try:
        return datetime.fromisoformat(at).timestamp()
    except ValueError:
        return 0.0
