"""What a sheet consists of: blocks of rows, frozen. Paper, page and tablet print the same ones.

A reader of these values needs to know ten kinds of block and nothing about diving:

| kind | how a row is printed |
| --- | --- |
| list | `label: value`, the value in bold, the note small behind it |
| steps | `label. value`, to be read and done in order: the label is the number |
| boxes | the same after a box to tick: `mark` says ticked or open |
| run | the same in one paragraph behind the title, joined by `;` |
| sum | the same joined by `+`; `total` closes it |
| table | `cells` under `head`, one row a line, with rules between |
| prose | `value` as a paragraph |
| map | the block's `picture`, an SVG drawing, with its rows as the key |
| pairs | like a list, in two columns |
| drawing | the block's `picture` with its rows as a list beside it |
"""

from dataclasses import asdict, dataclass
from typing import Any

LONG_WORD = 28  # letters; a longer one may have to be broken to stay in its column


@dataclass(frozen=True)
class Row:
    """One item. `whole` is false when the front shows only its beginning."""

    value: str = ""
    label: str = ""
    note: str = ""
    mark: str = ""  # "", "ticked" or "open"
    critical: bool = False  # printed at 14 pt
    cells: tuple[str, ...] = ()
    whole: bool = True

    @property
    def long(self) -> bool:
        """Whether a word of it may have to be broken."""
        return has_long_word(self.label, self.value, self.note, *self.cells)


@dataclass(frozen=True)
class Block:
    """A named group of at most nine rows that is never split over two pages."""

    key: str
    title: str
    rows: tuple[Row, ...] = ()
    kind: str = "list"
    number: int = 0
    head: tuple[str, ...] = ()
    total: str = ""
    continues: int = 0  # number of the block that holds what did not fit here
    continues_key: str = ""
    floor: int = 2  # rows that page one shows before any other block gets more
    longest: int = 4  # lines of one row on page one
    picture: str = ""  # an SVG drawing
    small: bool = False  # 9 pt: cautions, and what only a checker reads
    more: tuple[str, str] = ("continued", "page")  # said where it goes on elsewhere


@dataclass(frozen=True)
class Verdict:
    """The decision in force. Word and shape always go together; colour is never needed."""

    decision: str
    word: str
    computed: str
    computed_word: str
    overridden: bool
    score: str
    until: str
    because: str
    certainty: str
    fired: str


@dataclass(frozen=True)
class Head:
    """Which sheet this is."""

    title: str
    operation: str
    place: str
    agency: str
    revision: str
    made: str
    clock: str
    state: str
    code: str
    digest: str
    address: str

    @property
    def long(self) -> bool:
        return has_long_word(self.operation, self.place, self.agency)


@dataclass(frozen=True)
class Sheet:
    """Page one: head, verdict, top, left and right columns, foot. Page two and after: back."""

    head: Head
    verdict: Verdict
    top: tuple[Block, ...]
    left: tuple[Block, ...]
    right: tuple[Block, ...]
    foot: tuple[Block, ...]
    back: tuple[Block, ...]
    end: str
    language: str
    labels: dict[str, str]  # the few words that stand in the templates

    @property
    def front(self) -> tuple[Block, ...]:
        """The blocks of page one in reading order."""
        return self.top + self.left + self.right + self.foot


def has_long_word(*texts: str) -> bool:
    """Whether any text holds a word, between spaces or hyphens, of more than LONG_WORD letters."""
    return any(len(word) > LONG_WORD for text in texts for word in text.replace("-", " ").split())


def as_json(sheet: Sheet) -> dict[str, Any]:
    """`sheet` as plain data for a reader in another language."""
    return asdict(sheet)
