"""The widths that the layout counts on are those of the committed fonts."""

from fontTools.ttLib import TTFont

from opsrisk.briefing.pdf import STATIC
from opsrisk.briefing.sheet.widths import (
    ACCENTED,
    BOLD,
    FIRST,
    MARKS,
    MM_PER_POINT,
    REGULAR,
    Piece,
    lines,
    shortened,
    width_mm,
)


def advances(weight):
    font = TTFont(STATIC / f"fonts/atkinson-hyperlegible-latin-{weight}-normal.woff2")
    names, widths = font.getBestCmap(), font["hmtx"]
    assert font["head"].unitsPerEm == 1000
    return tuple(widths[names[FIRST + i]][0] for i in range(95))


def test_widths_are_the_fonts():
    """Every width from space to tilde is the font's, in both weights."""
    assert advances(400) == REGULAR
    assert advances(700) == BOLD


def test_accented_letters_are_no_wider_than_counted():
    """The letters of Spanish are counted as those without accent, and the fonts set none of them wider; marks take no room."""
    for weight, bold in ((400, False), (700, True)):
        font = TTFont(STATIC / f"fonts/atkinson-hyperlegible-latin-{weight}-normal.woff2")
        names, widths = font.getBestCmap(), font["hmtx"]
        for letter in ACCENTED:
            counted = width_mm(Piece(letter, 1000, bold)) / MM_PER_POINT
            assert widths[names[ord(letter)]][0] <= counted + 0.001 < 1000, (letter, weight)
    assert width_mm(Piece(f"{MARKS[0]}Ada{MARKS[1]}", 11)) == width_mm(Piece("Ada", 11))


def test_the_fonts_tell_apart_what_is_easily_confused():
    """0 and O, and 1, l and I, are different glyphs of different width."""
    font = TTFont(STATIC / "fonts/atkinson-hyperlegible-latin-400-normal.woff2")
    names = font.getBestCmap()
    for group in ("0O", "1lI"):
        assert len({names[ord(letter)] for letter in group}) == len(group)
        assert len({font["hmtx"][names[ord(letter)]][0] for letter in group}) == len(group)


def test_lines_of_words():
    """Words fill a line up to its width; one longer than a line takes as many as it needs."""
    word = Piece("mmmmm", 10)
    wide = width_mm(word)
    assert lines([Piece("mmmmm mmmmm", 10)], wide + 0.1) == 2
    assert lines([Piece("mmmmm mmmmm", 10)], 2 * wide + width_mm(Piece(" ", 10)) + 0.1) == 1
    assert lines([Piece("m" * 50, 10)], wide) == 10
    assert lines([Piece("  ", 10)], wide) == 0


def test_shortened_text_ends_at_a_word():
    """What is cut fits, ends between two words and says that it was cut; what fits is left alone."""
    text = "The witness stood on the parapet and saw it go under"
    cut = shortened(Piece(text, 11), 40, 1)
    assert cut.endswith(" …")
    assert text.startswith(cut.removesuffix(" …"))
    assert text[len(cut.removesuffix(" …"))] == " "
    assert lines([Piece(cut, 11)], 40) == 1
    assert shortened(Piece("short", 11), 40, 1) == "short"
    assert lines([Piece(shortened(Piece("W" * 400, 11), 40, 2), 11)], 40) == 2
