"""The plan on the sheet: its numbers on page one, behind it what is to be said, what is lacking, and two pictures.

Made from the plan as it stands in the signed record: nothing is worked out again, so a sheet printed years later
says the same.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from opsrisk.assessment.pictures.drawn import pictures
from opsrisk.assessment.pictures.svg import FACE, INK, RIM
from opsrisk.assessment.plan import plan_lines
from opsrisk.assessment.words import one_line
from opsrisk.briefing.sheet.blocks import Block, Row
from opsrisk.briefing.sheet.given import Given, Json

PRINTED = {"tether_shape": "Tether, from the side", "station_windows": "Current window",
           "table_windows": "Current window", "river_windows": "Current window"}  # fmt: skip
PAPER_FACE = "Sheet, Sheet Extended, Sheet Symbols, Atkinson Hyperlegible, sans-serif"
MOST_ANSWERS, MOST_LOOKS = 7, 6  # beside a picture


def front(given: Given) -> Block:
    """The numbers in one paragraph, the one that matters first at the front."""
    lines = plan_lines(given.plan) if given.plan else []
    return Block("plan", "Plan", tuple(Row(value=_parted(line)) for line in lines), "run", floor=4, longest=2)


def _parted(line: str) -> str:
    """Parts of one number by commas, since the sheet puts semicolons between numbers."""
    return one_line(line).replace(";", ",")


def back(given: Given) -> Iterable[Block]:
    """What goes with the numbers, for the one who checks."""
    if not given.plan:
        return
    yield Block("plan-said", "To be said with the plan", _said(given.plan), "run")
    yield Block("plan-off", "How far off the plan may be", tuple(_errors(given.plan)), "run", small=True)
    yield Block("plan-lacking", "Not in the plan", tuple(_lacking(given.plan)), "run")
    drawn = pictures(given.plan)
    for number in given.plan["numbers"]:
        name = number["computation"]
        if name in PRINTED and name in drawn:
            rows = tuple(_beside(number, given))
            yield Block(f"plan-{name}", PRINTED[name], rows, "drawing", picture=on_paper(drawn[name]))


def on_paper(drawing: str) -> str:
    """A drawing for print: the sheet's own fonts, black words, no white rims, which print programs draw over them."""
    return drawing.replace(FACE, PAPER_FACE).replace(INK, "#000000").replace(RIM, "")


def _said(plan: Json) -> tuple[Row, ...]:
    return tuple(Row(value=one_line(one["text"]).rstrip(".")) for one in plan["warnings"])


def _errors(plan: Json) -> Iterable[Row]:
    """The stated error of each number's first answer that has one."""
    for number in plan["numbers"]:
        stated = next((one["error"] for one in number["answers"] if one.get("error")), None)
        if stated:
            yield Row(label=number["title"], value=f"{one_line(stated)}.")


def _lacking(plan: Json) -> Iterable[Row]:
    for one in plan["refused"]:
        reasons = "; ".join(str(reason.get("accepted")) for reason in one["reasons"])
        yield Row(label=f"{one['title']}, not given", value=one_line(reasons))
    if plan["missing"]:
        titles = ", ".join(str(one["title"]).lower() for one in plan["missing"])
        yield Row(label="For want of an input", value=one_line(titles))


def _beside(number: Json, given: Given) -> Iterable[Row]:
    """The headline, then the answers that are numbers or words, each as it is to be planned on."""
    yield Row(value=_parted(number["headline"]), critical=True)
    plain = [one for one in number["answers"] if one.get("kind") in ("quantity", "word", "yes_no")]
    for one in plain[:MOST_ANSWERS]:
        yield Row(label=one_line(one["words"]), value=_value(one))
    windows: list[Json] = next((one["rows"] for one in number["answers"] if one["name"] == "windows"), [])
    for row in windows[:3]:
        yield Row(label=_span(row, given), value=_looks(row, given))


def _value(answer: Json) -> str:
    if "any_of" in answer:
        return " or ".join(answer["any_of"])
    found = answer.get("plan_on") if answer.get("plan_on") is not None else answer.get("value")
    return "none" if found is None else one_line(f"{found} {answer.get('unit') or ''}")


def _span(row: Mapping[str, Any], given: Given) -> str:
    if row["usable_starts"] is None:
        return f"{given.clock.short(row['starts'])} to {given.clock.short(row['ends'])}"
    return f"Usable {given.clock.short(row['usable_starts'])} to {given.clock.short(row['usable_ends'])}"


def _looks(row: Mapping[str, Any], given: Given) -> str:
    if row["usable_starts"] is None:
        return "too short to use"
    looks = [given.clock.short(at) for at in row["rechecks"].split(", ") if at]
    said = looks if len(looks) <= MOST_LOOKS else [*looks[: MOST_LOOKS - 2], "and so on to", looks[-1]]
    again = ", ".join(said).replace("and so on to, ", "and so on to ")
    return f"recall {given.clock.short(row['recall'])}, measure again {again}"
