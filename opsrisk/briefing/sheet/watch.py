"""What is watched while divers are down: what brings them out, and what asks the question again."""

from opsrisk.assessment.settling import good_enough
from opsrisk.assessment.words import CAUTION_ORDER, input_label, one_line, plain, quantity, short_word
from opsrisk.briefing.sheet import standing
from opsrisk.briefing.sheet.blocks import Row
from opsrisk.briefing.sheet.given import Given
from opsrisk.briefing.sheet.readings import Flip, flips

WATCHED = ("readings.", "hazards.", "dive.")  # what can be seen to change during a dive


def abort(given: Given) -> list[Row]:
    until = given.clock.short(given.decision.get("valid_until"))
    rows = [Row(label=plain(f.input), value=f.value, note=short_word(f.decision), critical=True) for f in _worse(given)]
    clock = [Row(label="Clock", value=f"past {until}", critical=True)]
    planned = given.part("dive").get("bottom_time")
    if quantity(planned) != "not known":
        clock.append(Row(label="Bottom time", value=f"over {quantity(planned)}", critical=True))
    return [*clock, *rows[: 4 - len(clock)], *(Row(value=text) for text in standing.ABORT)]


def recheck(given: Given) -> list[Row]:
    doc = given.decision
    rows = [Row(value=f"At {given.clock.stamp(doc.get('valid_until'))}", note=one_line(doc.get("valid_because")))]
    changes = _worse(given, recall=False)[:3]
    rows += [Row(label=plain(f.input), value=f.value, note=short_word(f.decision)) for f in changes]
    if doc.get("settle_by"):
        measure = input_label(str(doc["settle_by"])).lower()
        rows.append(Row(label="Measure better", value=measure, note=good_enough(doc)))
    return rows + [Row(value=text) for text in standing.RECHECK]


def _worse(given: Given, *, recall: bool = True) -> list[Flip]:
    """The changes that people at the water can see: those that take the divers out, or those that do not."""
    out = max(_caution(given.chosen), _caution("divers_with_controls"))
    changes = [f for f in flips(given) if f.input.startswith(WATCHED) and _caution(f.decision) > _caution(given.chosen)]
    return [f for f in changes if (_caution(f.decision) > out) == recall]


def _caution(decision: str) -> int:
    return CAUTION_ORDER.index(decision) if decision in CAUTION_ORDER else 0
