"""Page two and after: everything that the decision rests on, for the one who checks."""

from collections.abc import Iterable, Mapping
from typing import Any

from opsrisk.assessment.language import as_written
from opsrisk.assessment.words import (
    CHOICES,
    choice_word,
    input_label,
    number,
    one_line,
    plain,
    quantity,
    short_word,
)
from opsrisk.briefing.sheet import brief_back, plan, standing
from opsrisk.briefing.sheet.blocks import Block, Row
from opsrisk.briefing.sheet.given import Given, Json
from opsrisk.briefing.sheet.picture import decision_map
from opsrisk.briefing.sheet.readings import flips
from opsrisk.briefing.sheet.speech import cited
from opsrisk.briefing.sheet.steps import steps

GROUPS = (
    ("task", "Task"),
    ("hazards", "Hazards"),
    ("dive", "The dive"),
    ("support", "Help that is near"),
    ("vehicle", "The vehicle"),
)
FREE_TEXTS = {"intent": "Intent", "contingency": "If it changes", "remarks": "Remarks"}
ON_PAGE_ONE = ("task", "gain", "recall", "signals", "radio", "emergency")


def back(given: Given) -> list[Block]:
    """The blocks of the back, without those that continue page one."""
    drawn = decision_map(given)
    return [
        steps(given),
        _points(given),
        _readings(given),
        *_answers(given),
        _assumed(given),
        _margins(given),
        *([drawn] if drawn else []),
        *plan.back(given),
        _list("not_assessed", "Not assessed here", given.decision.get("not_assessed") or ["not recorded"]),
        _list("flags", "Also worth saying", [item.get("text") for item in given.items("flag_words")]),
        *_free_texts(given),
        *brief_back.back(given),
        _photos(given),
        _made_with(given),
    ]


def _readings(given: Given) -> Block:
    rows = []
    known = ((n, e if isinstance(e, Mapping) else {"value": e}) for n, e in given.entries("readings"))
    for name, entry in known:
        low, high = entry.get("low"), entry.get("high")
        spread = f"{number(low)} to {number(high)}" if low is not None and high is not None else "by the protocol"
        when = given.clock.short(entry["at"]) if entry.get("at") else "not recorded"
        how = " ".join(
            part for part in (str(entry.get("how") or "not recorded"), given.person(entry.get("by"))) if part
        )
        rows.append(_cells(input_label(f"readings.{name}"), quantity(entry), spread, how, when))
    return Block(
        "readings",
        "All readings",
        tuple(rows),
        "table",
        head=("Reading", "Value", "Lowest to highest", "How had", "When"),
    )


def _answers(given: Given) -> Iterable[Block]:
    for group, title in GROUPS:
        rows = []
        for name, value in given.entries(group):
            path = f"{group}.{name}"
            words = quantity(value) if isinstance(value, Mapping) else _answer(path, value, given)
            rows.append(Row(label=input_label(path), value=words))
        if group == "vehicle" and not rows:
            rows = [Row(value="The team has no vehicle.")]
        yield Block(f"answers-{group}", title, tuple(rows), "run")


def _answer(path: str, value: Any, given: Given) -> str:
    if path == "task.submerged_at" and value:
        return given.clock.stamp(value)
    if path in CHOICES:
        return choice_word(path, value)
    return as_written(one_line(value)) or "not known"


def _points(given: Given) -> Block:
    rows = [
        _cells(
            one_line(item.get("label")),
            one_line(item.get("reading")),
            one_line(item.get("band")),
            str(item["points"]),
            cited(one_line(item.get("source"))),
        )
        for item in given.items("points")
    ]
    total = sum(int(item["points"]) for item in given.items("points"))
    closing = f"Sum {total}. Score {given.decision.get('score')}, at most 100."
    return Block(
        "points",
        "Points",
        tuple(rows),
        "table",
        head=("Factor", "Reading", "Band: points", "Points", "Source"),
        total=closing,
    )


def _assumed(given: Given) -> Block:
    rows = [
        Row(label=one_line(item.get("label")), value=_worst(item), note=one_line(item.get("why")))
        for item in given.items("assumed")
    ]
    return Block("assumed", "Not known, the worst assumed", tuple(rows) or (Row(value="Nothing was assumed."),), "run")


def _worst(item: Json) -> str:
    """What was assumed, in the words of the question where it is a choice."""
    path, found = str(item.get("input", "")), one_line(item.get("assumed"))
    return choice_word(path, found) if path in CHOICES else found


def _margins(given: Given) -> Block:
    now = {str(item.get("input")): one_line(item.get("now")) for item in given.items("margins")}
    rows = [
        Row(label=f.label, value=f.value, note=f"now {now[f.input]}; {short_word(f.decision)}") for f in flips(given)
    ]
    return Block("margins", "Where the decision changes, all else equal", tuple(rows), "pairs")


def _free_texts(given: Given) -> Iterable[Block]:
    for name, text in sorted(given.brief.items()):
        if isinstance(text, str) and one_line(text) and name not in ON_PAGE_ONE:
            yield Block(f"text-{name}", FREE_TEXTS.get(name, plain(name)), tuple(
                Row(value=as_written(one_line(part))) for part in str(text).splitlines() if part.strip()
            ), "prose")  # fmt: skip


def _photos(given: Given) -> Block:
    """The photos that the signed record names, each with the digest of its file: another one has another digest."""
    found = given.record.get("photos")
    photos = [one for one in found if isinstance(one, Mapping)] if isinstance(found, list | tuple) else []
    rows = [
        _cells(
            _caption(one_line(one.get("caption"))), given.clock.stamp(one.get("taken_at")), _groups(one.get("sha256"))
        )
        for one in photos
    ]
    head = ("Photo", "Taken, by the tablet's clock", "SHA-256 of the file")
    return Block("photos", "Photos", tuple(rows), "table", head=head)


def _groups(digest: Any) -> str:
    """A digest in groups of eight, which can be read out and break over lines."""
    text = one_line(digest)
    return as_written(" ".join(text[place : place + 8] for place in range(0, len(text), 8)))


def _caption(given: Any) -> str:
    words = one_line(given)
    return words if words in standing.CAPTIONS else as_written(words)


def _made_with(given: Given) -> Block:
    protocol = given.decision.get("protocol") or {}
    device = given.record.get("device") or {}
    rows = (
        Row(
            label="Protocol",
            value=f"{as_written(str(protocol.get('id')))} version {as_written(str(protocol.get('version')))}",
            note=as_written(str(protocol.get("digest", ""))),
        ),
        Row(label="Engine", value=as_written(one_line((given.decision.get("engine") or {}).get("version")))),
        Row(label="Digest of the decision", note=as_written(one_line(given.decision.get("digest")))),
        Row(label="Digest of the record", note=as_written(given.digest)),
        Row(
            label="Record",
            value=as_written(one_line(given.record.get("id"))),
            note=f"revision {given.record.get('revision')}",
        ),
        Row(
            label="Made on the device",
            value=given.clock.stamp(given.record.get("made_at")),
            note=f"client {as_written(str(device.get('client_version', ''))) or 'not recorded'}",
        ),
    )
    return Block("made-with", "Made with", rows, "run")


def _list(key: str, title: str, texts: Iterable[Any]) -> Block:
    return Block(key, title, tuple(Row(value=one_line(text).rstrip(".")) for text in texts), "run")


def _cells(*cells: str) -> Row:
    return Row(cells=cells)
