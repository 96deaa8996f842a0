"""What fits on page one: rows are laid out by the widths of their letters, never by trial on a printer.

The tablet's own print of a paper so shows the same rows on page one as the server's. What does not fit
stands in a block of the back, and page one says in which.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from opsrisk.briefing.sheet.blocks import Block, Row
from opsrisk.briefing.sheet.widths import MM_PER_POINT, Piece, lines, shortened

BODY_PT, CRITICAL_PT, SMALL_PT = 11.0, 14.0, 9.0
LEADING = 1.26  # at least a quarter of the size beyond solid
GUTTER_MM = 6.0
INDENT_MM = 6.0  # of boxes and steps, the widest
TITLE_MM, GAP_MM, ROW_GAP_MM = 5.6, 1.6, 0.3
MOST_ROWS = 9
RUNNING = ("run", "sum")  # printed as one paragraph, its title in the line
BACK_GAP_MM, MAP_MM, SIGNED_MM = 1.6, 43.0, 7.6
# Widths that sheet.css sets, by column.
COLUMNS_MM = {"steps": {0: 10.0, 3: 52.0}, "points": {0: 58.0, 1: 28.0, 3: 15.0}}
DRAWN_WIDE_MM, DRAWN_MM = 120.0, 124.0  # a drawing of the plan, and with its gap: its smallest words are then 9 pt
BACK_BLOCK_MM = 150.0  # a block of the back: well under a page, since blocks are never split
PROSE_LETTERS = 900


@dataclass(frozen=True)
class Paper:
    """What a sheet of paper leaves inside the margins of sheet.css."""

    wide_mm: float
    high_mm: float

    @property
    def column_mm(self) -> float:
        return (self.wide_mm - GUTTER_MM) / 2


PAPERS = {"a4": Paper(210 - 18, 297 - 18), "letter": Paper(215.9 - 18, 279.4 - 18)}


def line_mm(size_pt: float) -> float:
    """Height of one line."""
    return size_pt * LEADING * MM_PER_POINT


def row_mm(row: Row, wide_mm: float, small: bool = False) -> float:
    """Height of a row of a list."""
    return max(1, lines(pieces(row, small), wide_mm - INDENT_MM)) * line_mm(_size(row, small)) + ROW_GAP_MM


def block_mm(block: Block, wide_mm: float) -> float:
    """Height of a whole block with its title and the gap after it; nothing for one without rows."""
    if not block.rows:
        return 0.0
    if block.kind in RUNNING:
        return max(lines(_running(block), wide_mm), 1) * line_mm(SMALL_PT if block.small else BODY_PT) + GAP_MM
    return TITLE_MM + GAP_MM + sum(row_mm(row, wide_mm, block.small) for row in block.rows)


def fitted(blocks: Sequence[Block], wide_mm: float, height_mm: float) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """The blocks as page one shows them, and a block for the back for each that lost something.

    Blocks come in the order in which they stand. Each shows one row, then its floor, then all it has,
    as long as there is room; those named earlier are served first.
    """
    cut = [replace(block, rows=tuple(_cut(row, block, wide_mm) for row in block.rows)) for block in blocks]
    shown = [min(1, len(block.rows)) for block in cut]
    for goal in ([min(b.floor, len(b.rows), MOST_ROWS) for b in cut], [min(len(b.rows), MOST_ROWS) for b in cut]):
        for place in range(len(cut)):
            while shown[place] < goal[place]:
                shown[place] += 1
                if sum(block_mm(block, wide_mm) for block in _taken(cut, shown)) > height_mm:
                    shown[place] -= 1
                    break
    front = _taken(cut, shown)
    rest = tuple(_rest(block, part) for block, part in zip(blocks, front, strict=True) if part.continues)
    return tuple(front), rest


def chunked(block: Block, wide_mm: float) -> tuple[Block, ...]:
    """`block` as one or several blocks of at most nine rows, none too tall to stand on one page."""
    rows = [piece for row in block.rows for piece in _in_pieces(row)]
    most = math.ceil(len(rows) / math.ceil(len(rows) / MOST_ROWS)) if rows else MOST_ROWS  # 10 rows are 5 and 5
    parts: list[list[Row]] = [[]]
    for row in rows:
        part = [*parts[-1], row]
        if parts[-1] and (len(part) > most or back_mm(replace(block, rows=tuple(part)), wide_mm) > BACK_BLOCK_MM):
            parts.append([row])
        else:
            parts[-1] = part
    if len(parts) == 1:
        return (replace(block, rows=tuple(parts[0])),)
    title = f"{block.title}, part {{}} of {len(parts)}"
    return tuple(
        replace(
            block,
            key=f"{block.key}-{i}",
            title=title.format(i),
            rows=tuple(part),
            total=block.total * (i == len(parts)),
        )
        for i, part in enumerate(parts, 1)
    )


def _taken(blocks: Sequence[Block], shown: Sequence[int]) -> list[Block]:
    """The first rows of each block; `continues` is 1 (the number comes later) where something is missing."""
    return [
        replace(
            block,
            rows=block.rows[:count],
            continues=int(count < len(block.rows) or not all(row.whole for row in block.rows[:count])),
        )
        for block, count in zip(blocks, shown, strict=True)
    ]


def _rest(whole: Block, part: Block) -> Block:
    """What `part` does not show in full."""
    rows = tuple(row for place, row in enumerate(whole.rows) if place >= len(part.rows) or not part.rows[place].whole)
    return replace(whole, key=f"{whole.key}-more", title=f"{whole.title}, continued", rows=rows)


def _cut(row: Row, block: Block, wide_mm: float) -> Row:
    """`row` shortened to what page one grants a single row."""
    most = block.longest
    if lines(pieces(row, block.small), wide_mm - INDENT_MM) <= most:
        return row
    if lines(pieces(replace(row, note=""), block.small), wide_mm - INDENT_MM) <= most:
        return replace(row, note="", whole=False)
    words = Piece(f"{row.label}: {row.value}", _size(row, block.small), bold=row.critical)
    value = shortened(words, wide_mm - INDENT_MM, most).removeprefix(f"{row.label}:").strip()
    return replace(row, value=value, note="", whole=False)


def _in_pieces(row: Row) -> list[Row]:
    """A row, its prose cut between words where it is too long for one block."""
    if len(row.value) <= PROSE_LETTERS:
        return [row]
    parts: list[Row] = []
    rest = row.value
    while rest:
        cut = rest if len(rest) <= PROSE_LETTERS else rest[:PROSE_LETTERS].rsplit(None, 1)[0] or rest[:PROSE_LETTERS]
        parts.append(replace(row, value=cut, label=f"{row.label}, on" if parts and row.label else row.label))
        rest = rest[len(cut) :].strip()
    return parts


def packed(blocks: Sequence[Block], paper: Paper) -> tuple[Block, ...]:
    """The blocks of the back in an order that leaves few empty ends of pages.

    Where the next one does not fit on the page, the first of the later ones that does comes before it; parts of one
    block keep their order. Heights are estimates: a wrong one costs a gap, nothing else.
    """
    left, found = list(blocks), list[Block]()
    room = paper.high_mm
    while left:
        high = [back_mm(block, paper.wide_mm) for block in left]
        names = [block.key.rstrip("0123456789").rstrip("-") for block in left]
        fits = [place for place in range(len(left)) if high[place] <= room and names[place] not in names[:place]]
        if not fits:
            room = paper.high_mm
            fits = [0]
        room -= high[fits[0]]
        found.append(left.pop(fits[0]))
    return tuple(found)


def back_mm(block: Block, wide_mm: float) -> float:
    """Height of a block of the back with the gap after it."""
    below = BACK_GAP_MM - GAP_MM
    if block.kind == "table":
        return _table_mm(block, wide_mm) + below
    if block.kind == "pairs":
        rows = [row_mm(row, (wide_mm - GUTTER_MM) / 2) for row in block.rows]
        return TITLE_MM + GAP_MM + max(sum(rows) / 2, *rows, 0.0) + below
    if block.kind == "drawing":
        beside = sum(row_mm(row, wide_mm - DRAWN_MM) for row in block.rows)
        return TITLE_MM + GAP_MM + max(_drawn_mm(block.picture), beside) + below
    return block_mm(block, wide_mm) + (MAP_MM if block.kind == "map" else 0.0) + below


def _table_mm(block: Block, wide_mm: float) -> float:
    set_wide = next((wide for name, wide in COLUMNS_MM.items() if block.key.startswith(name)), {})
    share = (wide_mm - sum(set_wide.values())) / max(1, len(block.head) - len(set_wide))
    columns = [set_wide.get(place, share) - 2 for place in range(len(block.head))]
    tallest = (
        max((lines([Piece(cell, BODY_PT)], wide) for cell, wide in zip(row.cells, columns, strict=False)), default=1)
        for row in block.rows
    )
    least = SIGNED_MM if block.key.startswith("brief-back") else 0.0
    return TITLE_MM * 2 + GAP_MM + sum(max(least, count * line_mm(BODY_PT)) + 1 for count in tallest)


def _drawn_mm(picture: str) -> float:
    """Height of a drawing that is as wide as the sheet grants it."""
    wide, high = (float(part) for part in picture.split('viewBox="0 0 ', 1)[1].split('"', 1)[0].split())
    return DRAWN_WIDE_MM * high / wide


def _running(block: Block) -> list[Piece]:
    """All that a running block prints: number and title, rows with their signs between, what closes it."""
    size = SMALL_PT if block.small else BODY_PT
    more = [Piece(f"{block.more[0]}: 00, {block.more[1]} 00", SMALL_PT, bold=True)] if block.continues else []
    rows = [piece for row in block.rows for piece in (*pieces(row, block.small), Piece("+", size))]
    return [Piece(f"00 {block.title}.", size, bold=True), *rows, Piece(block.total, size), *more]


def _size(row: Row, small: bool) -> float:
    return CRITICAL_PT if row.critical else SMALL_PT if small else BODY_PT


def pieces(row: Row, small: bool = False) -> list[Piece]:
    """A row as it is set: label, value (bold where it is short or critical), note."""
    size = _size(row, small)
    label = [Piece(f"{row.label}:", size)] if row.label else []
    return [*label, Piece(row.value, size, strong(row) and not small), Piece(row.note, SMALL_PT)]


def strong(row: Row) -> bool:
    """Whether the value is printed in bold: short answers are, sentences are not. The templates do the same."""
    return row.critical or (bool(row.label) and len(row.value) <= 60)
