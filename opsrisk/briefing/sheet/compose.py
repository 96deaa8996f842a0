"""The whole sheet from a record: what stands on page one, what continues behind, every block numbered."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import count
from typing import Any

from opsrisk.assessment.language import Language
from opsrisk.assessment.words import one_line, short_code
from opsrisk.briefing.sheet import back, brief_back, front, room, speech
from opsrisk.briefing.sheet.blocks import Block, Head, Sheet, Verdict
from opsrisk.briefing.sheet.given import Given
from opsrisk.briefing.sheet.widths import Piece, lines

SLACK_MM, MOST_TOP_MM, MOST_FOOT_MM = 3.0, 52.0, 52.0
QR_MM, SHAPE_MM, WORD_PT = 26.0, 20.0, 22.0


def compose(
    given: Given,
    *,
    cautions: Iterable[str],
    paper: str = "letter",
    squeeze: float = 0.0,
    language: Language | None = None,
) -> Sheet:
    """The sheet of `given` on a `paper` of room.PAPERS. `squeeze` takes that many millimetres off page one."""
    size, spoken = room.PAPERS[paper], language or Language()

    def said(blocks: Iterable[Block]) -> list[Block]:
        return [speech.said(block, spoken) for block in _filled(blocks)]

    title, band = speech.said_head(head(given), spoken), speech.said_verdict(front.verdict(given), spoken)
    top, top_rest = room.fitted(said(front.top(given)), size.wide_mm, MOST_TOP_MM)
    foot, foot_rest = room.fitted(said(front.foot(given)), size.wide_mm, MOST_FOOT_MM)
    foot = (*foot, speech.said(front.warned(cautions), spoken))
    used = _head_mm(title, size.wide_mm) + _band_mm(band, size.wide_mm)
    used += sum(room.block_mm(block, size.wide_mm) for block in (*top, *foot))
    column = size.high_mm - used - SLACK_MM - squeeze
    left, left_rest = room.fitted(said(front.left(given)), size.column_mm, column)
    right, right_rest = room.fitted(said(front.right(given)), size.column_mm, column)
    behind = (*top_rest, *left_rest, *right_rest, *foot_rest, *said(back.back(given)))
    parts = room.packed([part for block in behind for part in room.chunked(block, size.wide_mm)], size)
    end, labels = spoken.say(brief_back.end(given)), speech.labels(spoken)
    return _numbered(Sheet(title, band, top, left, right, foot, parts, end, spoken.tag, labels), spoken)


def _head_mm(title: Head, wide_mm: float) -> float:
    """Height of the head beside its QR code."""
    wide = wide_mm - QR_MM
    small = " ".join((title.title, title.agency, title.revision, title.made, title.clock, title.state, title.code))
    text = lines([Piece(title.operation, room.CRITICAL_PT, True)], wide) * room.line_mm(room.CRITICAL_PT)
    text += lines([Piece(title.place, room.BODY_PT)], wide) * room.line_mm(room.BODY_PT)
    return max(QR_MM - 3, text + lines([Piece(small, room.BODY_PT)], wide) * room.line_mm(room.BODY_PT))


def _band_mm(band: Verdict, wide_mm: float) -> float:
    """Height of the band with its border."""
    wide = wide_mm - SHAPE_MM - 7
    until = [Piece(f"Holds until: {band.until}", room.CRITICAL_PT, True), Piece(band.because, room.SMALL_PT)]
    text = lines([Piece(band.word, WORD_PT, True)], wide) * room.line_mm(WORD_PT)
    text += lines(until, wide) * room.line_mm(room.CRITICAL_PT)
    words = Piece(f"{band.score}; {band.fired}. {band.certainty}", room.BODY_PT)
    return max(22.0, text + lines([words], wide) * room.line_mm(room.BODY_PT) + 7.2)


def head(given: Given) -> Head:
    """Which sheet this is."""
    operation: Mapping[str, Any] = given.record.get("operation") or {}
    return Head(
        title="Dive briefing sheet",
        operation=_short(operation.get("title"), 80) or "Operation without a title",
        place=_short(operation.get("place"), 80) or "place not recorded",
        agency=_short(given.agency, 80),
        revision=f"Revision {given.record.get('revision', 1)}",
        made=f"Assessed {given.clock.stamp(given.situation.get('assessed_at'))}",
        clock=given.clock.words,
        state=given.state,
        code=short_code(given.digest),
        digest=given.digest,
        address=given.address,
    )


def _filled(blocks: Iterable[Block]) -> list[Block]:
    return [block for block in blocks if block.rows or block.picture]


def _short(text: Any, letters: int) -> str:
    found = one_line(text)
    return found if len(found) <= letters else f"{found[: letters - 2].rstrip()} …"


def _numbered(sheet: Sheet, language: Language) -> Sheet:
    """Blocks numbered in reading order, each continuation named by number."""
    numbers = count(1)
    top, left, right, foot, behind = (
        tuple(replace(speech.entitled(block, language), number=next(numbers)) for block in blocks)
        for blocks in (sheet.top, sheet.left, sheet.right, sheet.foot, sheet.back)
    )
    after = {block.key.removesuffix("-1"): block for block in behind}

    def linked(blocks: tuple[Block, ...]) -> tuple[Block, ...]:
        return tuple(_pointing(block, after[f"{block.key}-more"]) if block.continues else block for block in blocks)

    return replace(sheet, top=linked(top), left=linked(left), right=linked(right), foot=linked(foot), back=behind)


def _pointing(block: Block, onward: Block) -> Block:
    return replace(block, continues=onward.number, continues_key=onward.key)
