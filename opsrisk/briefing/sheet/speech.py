"""A sheet's blocks in the language of the sheet, before they are measured: words of other lengths take other room."""

import re
from dataclasses import replace
from html import escape, unescape

from opsrisk.assessment.language import Language, as_written
from opsrisk.briefing.sheet.blocks import Block, Head, Row, Verdict

# In a drawing: what stands between two tags, and what is told to who cannot see it.
DRAWN = re.compile(r'(?<=>)[^<>]+(?=<)|(?<=aria-label=")[^"]+(?=")')
OWN_SOURCES = ("common practice", "agency's choice")


def cited(source: str) -> str:
    """A source of a limit: a citation stays in its own words."""
    return source if source in OWN_SOURCES else as_written(source)


def said(block: Block, language: Language) -> Block:
    """`block` in `language`. Its title stays marked: what is put behind it later is said around it."""
    return replace(
        block,
        title=as_written(language.say(block.title)),
        rows=tuple(_row(row, language) for row in block.rows),
        head=tuple(language.say(cell) for cell in block.head),
        total=language.say(block.total),
        picture=drawing(block.picture, language),
        more=(language.say(block.more[0]), language.say(block.more[1])),
    )


def entitled(block: Block, language: Language) -> Block:
    """`block` with its title as it is printed, whichever part of it this is."""
    return replace(block, title=language.say(block.title))


def _row(row: Row, language: Language) -> Row:
    return replace(
        row,
        value=language.say(row.value),
        label=language.say(row.label),
        note=language.say(row.note),
        cells=tuple(language.say(cell) for cell in row.cells),
    )


def drawing(picture: str, language: Language) -> str:
    """An SVG drawing with its words said. What somebody called a thing is in no catalogue and stays."""
    return DRAWN.sub(lambda words: escape(_label(unescape(words.group()), language)), picture)


def _label(words: str, language: Language) -> str:
    found = language.find(words)
    return language.finished(as_written(words) if found is None else found)


def said_head(head: Head, language: Language) -> Head:
    """The head; the title that the tablet gave an operation is our own words around the name of the place."""
    operation = head.operation.replace(head.place, as_written(head.place)) if head.place else head.operation
    known = language.find(operation)
    place = head.place if head.place == "place not recorded" else as_written(head.place)
    return replace(
        head,
        title=language.say(head.title),
        operation=language.finished(as_written(head.operation) if known is None else known),
        place=language.say(place),
        revision=language.say(head.revision),
        made=language.say(head.made),
        clock=language.say(head.clock),
        state=language.say(head.state),
    )


def said_verdict(verdict: Verdict, language: Language) -> Verdict:
    return replace(
        verdict,
        word=language.say(verdict.word),
        computed_word=language.say(verdict.computed_word),
        score=language.say(verdict.score),
        until=language.say(verdict.until),
        because=language.say(verdict.because),
        certainty=language.say(verdict.certainty),
        fired=language.say(verdict.fired),
    )


LABELS = {
    "holds": "Holds until",
    "code": "Code",
    "qr": "QR code of",
    "page": "Page",
    "of": "of",
    "ticked": "ticked",
    "open": "open",
    "no_map": "No map for these readings.",
}


def labels(language: Language) -> dict[str, str]:
    """The few words that stand in the templates."""
    return {name: language.say(words) for name, words in LABELS.items()}
