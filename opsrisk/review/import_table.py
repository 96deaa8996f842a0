"""A file of past operations as a table: its bytes, its separator, its lines. Nothing is guessed without saying so."""

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from opsrisk.agencies.refusals import Refused
from opsrisk.review.export import guarded
from opsrisk.review.import_columns import NAMES

MOST_BYTES = 5_000_000
MOST_ROWS = 20_000
SEPARATORS = {",": "comma", ";": "semicolon"}
REASON = "reason"  # the last column of the file of rows that were left out; passed over when it comes back


@dataclass(frozen=True)
class Line:
    """One row: the line of the file on which it begins, and its cells in the order of the columns."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    separator: str
    lines: tuple[Line, ...]
    empty: int  # lines without anything in them

    @property
    def separator_word(self) -> str:
        return SEPARATORS[self.separator]


def read_table(data: bytes) -> Table:
    """The table in `data`. Raises Refused, in words, for what is no such file."""
    if len(data) > MOST_BYTES:
        raise Refused(("file", f"{len(data):,} bytes", f"up to 5 MB, which is {MOST_BYTES:,} bytes"))
    text = _text(data)
    separator, order, has_reason = _header(text)
    lines: list[Line] = []
    empty = 0
    for number, cells in _records(text, separator):
        if not any(cell.strip() for cell in cells):
            empty += 1
            continue
        if len(lines) == MOST_ROWS:
            raise Refused(("file", f"more than {MOST_ROWS:,} rows", f"up to {MOST_ROWS:,} rows; in parts"))
        lines.append(Line(number, _in_order(cells, order, has_reason=has_reason)))
    if not lines:
        raise Refused(("file", "no row below the names of the columns", "at least one"))
    return Table(separator, tuple(lines), empty)


def write_left_out(separator: str, rows: Sequence[tuple[Line, str]]) -> Iterator[str]:
    """Rows with the reason in the last column, to be mended and sent again."""
    yield _line(separator, [*NAMES, REASON])
    for line, reason in rows:
        cells = [*line.cells, *[""] * (len(NAMES) - len(line.cells))]
        yield _line(separator, [*(guarded(cell) for cell in cells), guarded(reason)])


def template() -> str:
    return _line(",", list(NAMES))


def _text(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        given = f"byte {fault.start + 1:,} (line {line:,}), which is no UTF-8"
        raise Refused(("file", given, "text in UTF-8: save the file again as CSV UTF-8")) from None


def _header(text: str) -> tuple[str, list[int], bool]:
    """The separator by which the first line names the columns, the place of each, and whether reasons come last."""
    read = {separator: _names(text, separator) for separator in SEPARATORS}
    for separator, names in read.items():
        has_reason = names[-1:] == [REASON]
        named = names[:-1] if has_reason else names
        if sorted(named) == sorted(NAMES):
            return separator, [named.index(name) for name in NAMES], has_reason
    likelier = max(read.values(), key=lambda names: len(set(names) & set(NAMES)))
    raise Refused(*_wrong_header(likelier))


def _names(text: str, separator: str) -> list[str]:
    first = io.StringIO(text.lstrip("\r\n"), newline="").readline()
    return [name.strip().lower() for row in csv.reader([first], delimiter=separator) for name in row]


def _wrong_header(names: list[str]) -> Iterator[tuple[str, object, str]]:
    missing = [name for name in NAMES if name not in names]
    unknown = [name for name in names if name not in (*NAMES, REASON)]
    twice = sorted({name for name in names if names.count(name) > 1})
    if missing:
        said = f"a first line that names each column, with a comma or a semicolon between: also {', '.join(missing)}"
        yield "file", ", ".join(names)[:100], said
    if unknown:
        yield "file", ", ".join(unknown)[:100], "no other columns than those of the template"
    if twice:
        yield "file", ", ".join(twice), "each column once"
    if not (missing or unknown or twice):
        yield "file", REASON, "the column of reasons as the last one"


def _records(text: str, separator: str) -> Iterator[tuple[int, list[str]]]:
    """Every row below the header with the line on which it begins."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    begins, headed = 1, False
    try:
        for cells in reader:
            if headed:
                yield begins, cells
            headed = headed or bool(cells)
            begins = reader.line_num + 1
    except csv.Error as fault:
        said = f"rows whose quotation marks are closed, and cells of up to {csv.field_size_limit():,} letters"
        raise Refused(("file", f"line {begins}: {fault}", said)) from None


def _in_order(cells: Sequence[str], order: Sequence[int], *, has_reason: bool) -> tuple[str, ...]:
    """The cells as the columns are named here; a row of another length is left as it is, and refused later."""
    if len(cells) == len(order) + has_reason:
        return tuple(cells[place] for place in order)
    return tuple(cells[:-1] if has_reason and len(cells) > len(order) else cells)


def _line(separator: str, cells: Sequence[str]) -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=separator).writerow(cells)
    return out.getvalue()
