"""The team on page one: who stands where, by what signal, what if, and what must be in place first."""

from collections.abc import Mapping

from opsrisk.assessment.language import as_written
from opsrisk.assessment.words import POSITION_NAMES, one_line, plain, quantity
from opsrisk.briefing.sheet import standing
from opsrisk.briefing.sheet.blocks import Row
from opsrisk.briefing.sheet.given import Given

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
STATE_FAULTS = {
    "qualified": "not qualified",
    "ready": "not ready",
    "sole_duty": "has another duty",
}


def people(given: Given) -> list[Row]:
    positions = given.part("positions")
    rows = []
    for name in POSITION_ORDER:
        entry = positions.get(name)
        entry = entry if isinstance(entry, Mapping) else {}
        filled = entry.get("filled") == "yes"
        who = given.person(entry.get("person")) or ("filled, no name recorded" if filled else "not filled")
        faults = [words for state, words in STATE_FAULTS.items() if filled and entry.get(state) != "yes"]
        enters = name in IN_THE_WATER and given.divers_enter
        label = POSITION_NAMES[name] + (", in the water" if enters else "")
        rows.append(Row(label=label, value=who, note=", ".join(faults)))
    placed = {str(entry.get("person")) for entry in positions.values() if isinstance(entry, Mapping)}
    others = [given.person(p.get("id")) for p in given.people if str(p.get("id")) not in placed]
    if others:
        rows.append(Row(label=f"Also at the site ({len(others)})", value=", ".join(others)))
    return rows


def signals(given: Given) -> list[Row]:
    brief = given.brief
    recall = given.words("recall") or given.words("signals")
    rows = [Row(label="Recall", value=recall or standing.NOT_WRITTEN, critical=True)]
    rows.append(Row(label="Radio", value=given.words("radio") or standing.NOT_WRITTEN))
    if brief.get("recall") and brief.get("signals"):
        rows.append(Row(label="Other signals", value=given.words("signals")))
    return rows


def emergency(given: Given) -> list[Row]:
    own = [as_written(one_line(line)) for line in str(given.brief.get("emergency") or "").splitlines() if line.strip()]
    support = given.part("support")
    way = f"Care {quantity(support.get('care_minutes'))}; chamber {quantity(support.get('chamber_minutes'))}."
    texts = (*own, way, *standing.EMERGENCY[: max(2, 6 - len(own))])
    return [Row(label=str(number), value=text) for number, text in enumerate(texts, 1)]


def controls(given: Given) -> list[Row]:
    ticks = {str(tick.get("id")): tick for tick in given.record.get("controls_ticked") or ()}
    rows = []
    for item in given.items("controls"):
        tick = ticks.get(str(item.get("id")), {})
        done = tick.get("ticked") in (True, "yes")
        owner = POSITION_NAMES.get(str(item.get("owner")), plain(str(item.get("owner", ""))))
        when = f"done {given.clock.short(tick.get('at'))}" if done else "not ticked when signed"
        rows.append(Row(value=one_line(item.get("text")), note=f"{owner}, {when}", mark="ticked" if done else "open"))
    return rows or [Row(value="No control is called for by the readings.", mark="")]
