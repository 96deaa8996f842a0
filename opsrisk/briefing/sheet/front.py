"""Page one: everything that runs the dive, the most critical first in each column."""

from collections.abc import Iterable, Mapping

from opsrisk.briefing.sheet import standing
from opsrisk.briefing.sheet.blocks import Block, Row, Verdict
from opsrisk.briefing.sheet.given import Given
from opsrisk.briefing.sheet.readings import Flip, fired_row, flips
from opsrisk.briefing.sheet.words import (
    CAUTION_ORDER,
    MEANINGS,
    POSITION_NAMES,
    ROLES,
    TASKS,
    choice_word,
    decision_word,
    input_label,
    one_line,
    plain,
    quantity,
    short_word,
)

IN_THE_WATER = ("diver", "standby_diver")
POSITION_ORDER = (
    "diver",
    "standby_diver",
    "diver_tender",
    "standby_tender",
    "supervisor",
    "vehicle_pilot",
    "tether_handler",
    "medic",
)
WATCHED = ("readings.", "hazards.", "dive.")  # what can be seen to change during a dive
STATE_FAULTS = {
    "qualified": "not qualified",
    "ready": "not ready",
    "sole_duty": "has another duty",
}


def verdict(given: Given) -> Verdict:
    """The band at the top."""
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


def top(given: Given) -> list[Block]:
    """Full width under the band: the task, and whose judgement stands."""
    task = given.part("task")
    kind = str(task.get("kind", ""))
    rows = [
        Row(value=TASKS.get(kind, choice_word("task.kind", kind)), note=_gain(given)),
        Row(label="Target", value=choice_word("task.target", task.get("target"))),
    ]
    if words := one_line(given.brief.get("task")):
        rows.append(Row(label="In the supervisor's words", value=words))
    blocks = [
        Block("task", "Task", tuple(rows), "run", floor=3, longest=2),
        Block("judgement", "Judgement", tuple(_judgement(given)), "run", floor=2, longest=2),
    ]
    if given.overridden:
        blocks.insert(0, Block("override", "Override", tuple(_override(given)), floor=3, longest=2))
    return blocks


def left(given: Given) -> list[Block]:
    """Why, when to come out, and what must be in place first."""
    return [
        Block("why", "Why: what fired", tuple(_why(given)), floor=2, longest=3),
        Block("abort", "Abort: recall all when", tuple(_abort(given)), floor=9),
        Block("controls", "Controls: tick when done", tuple(_controls(given)), kind="boxes", floor=2),
    ]


def right(given: Given) -> list[Block]:
    """Who, by what signal, and what if."""
    return [
        Block("people", "In the water, and positions", tuple(_people(given)), floor=2, longest=2),
        Block("signals", "Signals", tuple(_signals(given)), floor=1, longest=2),
        Block("emergency", "Emergency: read and do", tuple(_emergency(given)), kind="steps", floor=7, longest=2),
    ]


def foot(given: Given) -> list[Block]:
    """When to ask again, the sum, who put a name to it, and waivers, full width."""
    waivers = tuple(Row(label=plain(str(w.get("id"))), value=one_line(w.get("text"))) for w in given.items("waivers"))
    return [
        Block("recheck", "Check again", tuple(_recheck(given)), "run", floor=2),
        _sum(given),
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
    note = f"{given.clock.short(own.get('at'))} {one_line(own.get('note'))}".strip() if own else ""
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
        Row(label="Reason", value=one_line(chosen.get("reason")) or "none given"),
    ]
    second = given.person(chosen.get("second_person"))
    if second or given.less_careful:
        rows.insert(1, Row(label="Second person", value=second or "none"))
    return rows


def _why(given: Given) -> list[Row]:
    rows = [fired_row(item) for name in ("stops", "triggers", "vehicle") for item in given.items(name)]
    rule = given.decision.get("rule") or {}
    return [*rows, Row(label="Rule that decided", value=one_line(rule.get("text")))]


def _abort(given: Given) -> list[Row]:
    until = given.clock.short(given.decision.get("valid_until"))
    rows = [Row(label=plain(f.input), value=f.value, note=short_word(f.decision), critical=True) for f in _worse(given)]
    clock = [Row(label="Clock", value=f"past {until}", critical=True)]
    planned = given.part("dive").get("bottom_time")
    if quantity(planned) != "not known":
        clock.append(Row(label="Bottom time", value=f"over {quantity(planned)}", critical=True))
    return [*clock, *rows[: 4 - len(clock)], *(Row(value=text) for text in standing.ABORT)]


def _worse(given: Given, *, recall: bool = True) -> list[Flip]:
    """The changes that people at the water can see: those that take the divers out, or those that do not."""
    out = max(_caution(given.chosen), _caution("divers_with_controls"))
    changes = [f for f in flips(given) if f.input.startswith(WATCHED) and _caution(f.decision) > _caution(given.chosen)]
    return [f for f in changes if (_caution(f.decision) > out) == recall]


def _caution(decision: str) -> int:
    return CAUTION_ORDER.index(decision) if decision in CAUTION_ORDER else 0


def _recheck(given: Given) -> list[Row]:
    doc = given.decision
    rows = [Row(value=f"At {given.clock.stamp(doc.get('valid_until'))}", note=one_line(doc.get("valid_because")))]
    changes = _worse(given, recall=False)[:3]
    rows += [Row(label=plain(f.input), value=f.value, note=short_word(f.decision)) for f in changes]
    if doc.get("settle_by"):
        rows.append(Row(label="Measure better", value=input_label(str(doc["settle_by"])).lower()))
    return rows + [Row(value=text) for text in standing.RECHECK]


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


def _people(given: Given) -> list[Row]:
    positions = given.part("positions")
    rows = []
    for name in POSITION_ORDER:
        entry = positions.get(name)
        entry = entry if isinstance(entry, Mapping) else {}
        filled = entry.get("filled") == "yes"
        who = given.person(entry.get("person")) or ("filled, no name recorded" if filled else "not filled")
        faults = [words for state, words in STATE_FAULTS.items() if filled and entry.get(state) != "yes"]
        label = POSITION_NAMES[name] + (", in the water" if name in IN_THE_WATER else "")
        rows.append(Row(label=label, value=who, note=", ".join(faults)))
    placed = {str(entry.get("person")) for entry in positions.values() if isinstance(entry, Mapping)}
    others = [given.person(p.get("id")) for p in given.people if str(p.get("id")) not in placed]
    if others:
        rows.append(Row(label=f"Also at the site ({len(others)})", value=", ".join(others)))
    return rows


def _signals(given: Given) -> list[Row]:
    brief = given.brief
    recall = one_line(brief.get("recall") or brief.get("signals"))
    rows = [Row(label="Recall", value=recall or standing.NOT_WRITTEN, critical=True)]
    rows.append(Row(label="Radio", value=one_line(brief.get("radio")) or standing.NOT_WRITTEN))
    if brief.get("recall") and brief.get("signals"):
        rows.append(Row(label="Other signals", value=one_line(brief["signals"])))
    return rows


def _emergency(given: Given) -> list[Row]:
    own = [one_line(line) for line in str(given.brief.get("emergency") or "").splitlines() if line.strip()]
    support = given.part("support")
    way = f"Care {quantity(support.get('care_minutes'))}; chamber {quantity(support.get('chamber_minutes'))}."
    texts = (*own, way, *standing.EMERGENCY[: max(2, 6 - len(own))])
    return [Row(label=str(number), value=text) for number, text in enumerate(texts, 1)]


def _controls(given: Given) -> list[Row]:
    ticks = {str(tick.get("id")): tick for tick in given.record.get("controls_ticked") or ()}
    rows = []
    for item in given.items("controls"):
        tick = ticks.get(str(item.get("id")), {})
        done = tick.get("ticked") in (True, "yes")
        owner = POSITION_NAMES.get(str(item.get("owner")), plain(str(item.get("owner", ""))))
        when = f"done {given.clock.short(tick.get('at'))}" if done else "not ticked when signed"
        rows.append(Row(value=one_line(item.get("text")), note=f"{owner}, {when}", mark="ticked" if done else "open"))
    return rows or [Row(value="No control is called for by the readings.", mark="")]


def _signatures(given: Given) -> list[Row]:
    rows = []
    weight = {meaning: place for place, meaning in enumerate(MEANINGS)}
    for item in sorted(given.signatures, key=lambda item: weight.get(str(item.get("meaning")), len(weight))):
        meaning = MEANINGS.get(str(item.get("meaning")), plain(str(item.get("meaning", ""))))
        role = ROLES.get(str(item.get("role")), str(item.get("role", "")))
        rows.append(
            Row(label=meaning, value=one_line(item.get("name")), note=f"{role}, {given.clock.stamp(item.get('at'))}")
        )
    return rows or [Row(value="Not signed.", critical=True)]


def _count(n: int, word: str) -> str:
    return f"{n or 'no'} {word}{'' if n == 1 else 's'}"
