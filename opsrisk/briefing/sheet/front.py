"""Page one: everything that runs the dive, the most critical first in each column."""

from collections.abc import Iterable, Mapping

from opsrisk.assessment.language import as_written
from opsrisk.assessment.told import GAINS
from opsrisk.assessment.words import (
    MEANINGS,
    ROLES,
    TASKS,
    choice_word,
    decision_word,
    input_label,
    one_line,
    plain,
    short_word,
)
from opsrisk.briefing.sheet import brief_back, plan, team, watch
from opsrisk.briefing.sheet.blocks import Block, Row, Verdict
from opsrisk.briefing.sheet.given import Given
from opsrisk.briefing.sheet.readings import fired_row


def verdict(given: Given) -> Verdict:
    """The band at the top."""
    if given.void is not None:
        return _void_band(given)
    doc = given.decision
    stops, triggers = len(given.items("stops")), len(given.items("triggers"))
    return Verdict(
        decision=given.chosen,
        word=decision_word(given.chosen),
        computed=str(doc["decision"]),
        computed_word=decision_word(str(doc["decision"])),
        overridden=given.overridden,
        score=f"Score {doc['score']} of 100, diver exposure" if doc.get("score") is not None else "No score",
        until=given.clock.stamp(doc.get("valid_until")),
        because=one_line(doc.get("valid_because")),
        certainty=_certainty(given),
        fired=f"{_count(stops, 'stop')}, {_count(triggers, 'trigger')}",
    )


def _void_band(given: Given) -> Verdict:
    """A void record gives no decision: what it said is named once, as what no longer counts."""
    return Verdict(
        decision="hold",
        word="VOID: do not work by this sheet",
        computed=str(given.decision["decision"]),
        computed_word=decision_word(str(given.decision["decision"])),
        overridden=given.overridden,
        score="No score",
        until="void",
        because="",
        certainty="Assess again.",
        fired=f"it said: {short_word(given.chosen).lower()}",
    )


def top(given: Given) -> list[Block]:
    """Full width under the band: the task, and whose judgement stands."""
    task = given.part("task")
    kind = str(task.get("kind", ""))
    rows = [
        Row(value=TASKS.get(kind, choice_word("task.kind", kind)), note=_gain(given)),
        Row(label="Target", value=choice_word("task.target", task.get("target"))),
    ]
    if words := given.words("task"):
        rows.append(Row(label="In the supervisor's words", value=words))
    if gain := one_line(given.brief.get("gain")):
        gain = gain if gain in GAINS else as_written(gain)
        rows.append(Row(label="Gain", value=gain))
    blocks = [
        Block("task", "Task", tuple(rows), "run", floor=4, longest=2),
        Block("judgement", "Judgement", tuple(_judgement(given)), "run", floor=2, longest=2),
    ]
    if reason := _table_text(given.record.get("correction")):
        row = Row(value=f"The revision before was wrong: {as_written(reason)}")
        blocks.insert(0, Block("correction", "Correction", (row,), "run", floor=1, longest=3))
    if given.void is not None:
        label = f"Declared void {given.clock.stamp(given.void['at'])} by {as_written(given.void['by'])}"
        row = Row(label=label, value=as_written(one_line(given.void["reason"])), critical=True)
        blocks.insert(0, Block("void", "VOID", (row,), floor=1, longest=3))
    if given.overridden:
        blocks.insert(0, Block("override", "Override", tuple(_override(given)), floor=3, longest=2))
    return blocks


def _table_text(given: object) -> str:
    """The reason in a member that a record may lack."""
    return one_line(given.get("reason")) if isinstance(given, Mapping) else ""


def left(given: Given) -> list[Block]:
    """Why, when to come out, and what must be in place first."""
    return [
        Block("why", "Why: what fired", tuple(_why(given)), floor=2, longest=3),
        Block("abort", "Abort: recall all when", tuple(watch.abort(given)), floor=9),
        Block("controls", "Controls: tick when done", tuple(team.controls(given)), kind="boxes", floor=2),
    ]


def right(given: Given) -> list[Block]:
    """Who, by what signal, and what if."""
    return [
        Block(
            "people",
            "In the water, and positions" if given.divers_enter else "Positions: nobody enters",
            tuple(team.people(given)),
            floor=2,
            longest=2,
        ),
        Block("signals", "Signals", tuple(team.signals(given)), floor=1, longest=2),
        Block("emergency", "Emergency: read and do", tuple(team.emergency(given)), kind="steps", floor=7, longest=2),
    ]


def foot(given: Given) -> list[Block]:
    """When to ask again, the sum, who put a name to it, and waivers, full width."""
    waivers = tuple(Row(label=plain(str(w.get("id"))), value=one_line(w.get("text"))) for w in given.items("waivers"))
    return [
        Block("recheck", "Check again", tuple(watch.recheck(given)), "run", floor=2),
        plan.front(given),
        _sum(given),
        *brief_back.front(given),
        Block("signatures", "Signatures", tuple(_signatures(given)), "run", floor=2),
        Block("waivers", "Waivers in this protocol", waivers, "run", floor=1, longest=2),
    ]


def warned(cautions: Iterable[str]) -> Block:
    """The cautions, never cut."""
    return Block("cautions", "Cautions", tuple(Row(value=one_line(text)) for text in cautions), "run", small=True)


def _certainty(given: Given) -> str:
    doc = given.decision
    if doc.get("settled"):
        return "Settled: the same at both ends of all bounds."
    ends = f"{short_word(str(doc.get('best')))} at best, {short_word(str(doc.get('worst')))} at worst".lower()
    measure = doc.get("settle_by")
    return f"Not settled: {ends}." + (f" Measure better: {input_label(str(measure)).lower()}." if measure else "")


def _gain(given: Given) -> str:
    if "no_gain" in (given.decision.get("flags") or ()):
        return "nobody to save: nothing is gained by hurrying"
    went_under = given.part("task").get("submerged_at")
    return f"went under {given.clock.short(went_under)}" if went_under else ""


def _judgement(given: Given) -> list[Row]:
    own = given.record.get("own_judgement") or {}
    own_word, computed = str(own.get("decision", "")), str(given.decision["decision"])
    note = f"{given.clock.short(own.get('at'))} {as_written(one_line(own.get('note')))}".strip() if own else ""
    return [
        Row(
            label="Own, before the answer was shown",
            value=short_word(own_word) if own_word else "not recorded",
            note=note,
        ),
        Row(label="Computed", value=short_word(computed), note="the same" if own_word == computed else "they differ"),
    ]


def _override(given: Given) -> list[Row]:
    chosen = given.record.get("chosen") or {}
    label = "Chosen, less careful than computed" if given.less_careful else "Chosen, more careful than computed"
    rows = [
        Row(label=label, value=decision_word(given.chosen), critical=True),
        Row(label="Reason", value=as_written(one_line(chosen.get("reason"))) or "none given"),
    ]
    second = given.person(chosen.get("second_person"))
    if second or given.less_careful:
        rows.insert(1, Row(label="Second person", value=second or "none"))
    return rows


def _why(given: Given) -> list[Row]:
    rows = [fired_row(item) for name in ("stops", "triggers", "vehicle") for item in given.items(name)]
    rule = given.decision.get("rule") or {}
    return [*rows, Row(label="Rule that decided", value=one_line(rule.get("text")))]


def _sum(given: Given) -> Block:
    points = given.items("points")
    total = sum(int(item["points"]) for item in points)
    rows = tuple(
        Row(label=one_line(item.get("label")), value=str(item["points"]), note=one_line(item.get("reading")))
        for item in sorted(points, key=lambda item: -int(item["points"]))
    )
    closing = f"= {total}{', capped at 100' if total > 100 else ''}. Score {given.decision.get('score')}."
    return Block(
        "sum", "The sum", rows or (Row(label="No factor adds points", value="0"),), "sum", total=closing, floor=9
    )


def _signatures(given: Given) -> list[Row]:
    rows = []
    weight = {meaning: place for place, meaning in enumerate(MEANINGS)}
    for item in sorted(given.signatures, key=lambda item: weight.get(str(item.get("meaning")), len(weight))):
        meaning = MEANINGS.get(str(item.get("meaning")), plain(str(item.get("meaning", ""))))
        role = ROLES.get(str(item.get("role")), str(item.get("role", "")))
        rows.append(
            Row(
                label=meaning,
                value=as_written(one_line(item.get("name"))),
                note=f"{role}, {given.clock.stamp(item.get('at'))}",
            )
        )
    return rows or [Row(value="Not signed.", critical=True)]


def _count(n: int, word: str) -> str:
    return f"{n or 'no'} {word}{'' if n == 1 else 's'}"
