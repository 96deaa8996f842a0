"""The list as a spreadsheet file: the rows of the CSV, what the columns mean, how it was asked and with what cautions.

Every text is written as text and every number as a number, so that nothing runs as a formula or opens as a link. It
is written a row at a time, for many operations.
"""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import IO, Any

from xlsxwriter import Workbook
from xlsxwriter.worksheet import Worksheet

from opsrisk.assessment.cautions import CAUTIONS
from opsrisk.operations.models import Assessment
from opsrisk.review.export import COLUMNS

MOST_IN_A_CELL = 32_767  # of Excel, counted in UTF-16
MOST_ROWS = 1_048_575  # of Excel, below the header
MOST_TOLD = 1000  # places of cut texts that are listed one by one
WIDE = 24  # of a column, in letters
NEVER_A_FORMULA = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}


@dataclass(frozen=True)
class Cut:
    """A text that was too long for a cell."""

    line: int
    column: str
    letters: int


class Plain(Worksheet):
    """A sheet without rich text. What somebody typed between <r> and </r> the writer takes for mark-up of its own and
    would pass on as it is; the one place where it does is its own, so there is no way but to inherit."""

    def _xml_rich_inline_string(self, string: str, attributes: Any = None) -> None:
        self._xml_inline_string(string, True, attributes)


def write_spreadsheet(out: IO[bytes], rows: Iterable[Assessment], asked: Iterable[tuple[str, str]]) -> None:
    """Writes the workbook into `out`; `asked` says how the list was asked for, as word and value."""
    book = Workbook(out, {"constant_memory": True, **NEVER_A_FORMULA})
    bold = book.add_format({"bold": True})
    listed = book.add_worksheet("Operations", Plain)
    cuts: list[Cut] = []
    number, left_out = _operations(listed, rows, bold, cuts)
    meant = (("column", "unit", "definition"), *((one.name, one.unit, one.meaning) for one in COLUMNS))
    _text_rows(book.add_worksheet("Definitions and units", Plain), meant, bold)
    said = (("Said with every row", ""), *_cautions(asked, number, left_out, cuts))
    _text_rows(book.add_worksheet("Cautions", Plain), said, bold)
    book.close()


def _operations(sheet: Worksheet, rows: Iterable[Assessment], bold: Any, cuts: list[Cut]) -> tuple[int, int]:
    """How many rows were written, and for how many there was no room."""
    sheet.freeze_panes(1, 0)
    sheet.set_column(0, len(COLUMNS) - 1, WIDE)
    for place, column in enumerate(COLUMNS):
        sheet.write_string(0, place, column.name, bold)
    number = left_out = 0
    for row in rows:
        if number == MOST_ROWS:
            left_out += 1
            continue
        number += 1
        record = json.loads(row.record)
        for place, column in enumerate(COLUMNS):
            _cell(sheet, (number, place), column.read(row, record), cuts)
    return number, left_out


def _cell(sheet: Worksheet, at: tuple[int, int], value: object, cuts: list[Cut]) -> None:
    if value is None:
        return
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        sheet.write_number(*at, float(value))
        return
    text = str(value)
    if _units(text) > MOST_IN_A_CELL:
        cuts.append(Cut(at[0] + 1, COLUMNS[at[1]].name, len(text)))
        text = _cut(text)
    sheet.write_string(*at, text)


def _text_rows(sheet: Worksheet, rows: Iterable[tuple[str, ...]], bold: Any) -> None:
    sheet.set_column(0, 2, WIDE)
    for number, cells in enumerate(rows):
        for place, text in enumerate(cells):
            sheet.write_string(number, place, text, None if number else bold)


def _cautions(
    asked: Iterable[tuple[str, str]], number: int, left_out: int, cuts: list[Cut]
) -> Iterator[tuple[str, str]]:
    for caution in CAUTIONS:
        yield caution, ""
    yield "A score is judgement, no probability; scores of two protocol versions are not comparable.", ""
    yield "Texts are stored as text. Saved as CSV from here, one that begins with = + - or @ may run as a formula.", ""
    yield from asked
    yield "Rows", str(number)
    if left_out:
        yield "Left out, for want of rows in this kind of file; the CSV has them", str(left_out)
    yield f"Texts cut at {MOST_IN_A_CELL:,} letters, the most in a cell; the CSV has them whole", str(len(cuts))
    for one in cuts[:MOST_TOLD]:
        yield f"Cut: row {one.line}, {one.column}", f"{one.letters:,} letters"


def _cut(text: str) -> str:
    """As much as a cell holds, ending in words that say so."""
    said = f" [cut: {len(text):,} letters, the CSV has them all]"
    return text.encode("utf-16-le")[: 2 * (MOST_IN_A_CELL - len(said))].decode("utf-16-le", "ignore") + said


def _units(text: str) -> int:
    return len(text) if text.isascii() else len(text.encode("utf-16-le", "surrogatepass")) // 2
