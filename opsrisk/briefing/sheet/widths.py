"""How wide text is on paper, so that what fits page one is decided the same way on every machine.

Advance widths of Atkinson Hyperlegible in thousandths of the font size, for space to tilde;
`tests/briefing/test_widths.py` compares them with the font files. Any other character counts as 1000:
wider than most, so that the estimate errs towards room.
"""

import math
from collections.abc import Iterable
from typing import NamedTuple

MM_PER_POINT = 25.4 / 72
REGULAR = (
    *(280, 281, 301, 655, 594, 927, 705, 160, 300, 300, 433, 602, 205, 368, 205, 377),  # space to slash
    *(648, 402, 549, 574, 614, 583, 598, 510, 615, 598, 205, 205, 553, 602, 553, 520),  # 0 to ?
    *(780, 626, 619, 656, 673, 567, 548, 710, 690, 414, 510, 627, 539, 820, 689, 727),  # @ to O
    *(601, 753, 618, 596, 558, 690, 589, 840, 623, 595, 607, 315, 377, 315, 552, 396),  # P to _
    *(268, 526, 566, 500, 564, 539, 311, 560, 546, 278, 254, 490, 239, 841, 546, 552),  # ` to o
    *(566, 576, 340, 471, 324, 536, 441, 654, 461, 429, 460, 319, 233, 319, 555),  # p to ~
)
BOLD = (
    *(320, 283, 410, 783, 619, 977, 702, 222, 366, 366, 434, 618, 243, 374, 243, 442),  # space to slash
    *(652, 448, 586, 605, 626, 612, 632, 543, 625, 561, 243, 243, 573, 618, 573, 614),  # 0 to ?
    *(754, 690, 639, 673, 686, 580, 544, 719, 679, 458, 560, 659, 537, 842, 700, 764),  # @ to O
    *(626, 781, 654, 619, 617, 663, 656, 883, 699, 687, 621, 333, 442, 333, 589, 430),  # P to _
    *(314, 553, 596, 520, 596, 566, 367, 597, 572, 315, 259, 567, 314, 886, 572, 573),  # ` to o
    *(596, 601, 372, 534, 379, 570, 526, 723, 533, 518, 516, 370, 234, 370, 533),  # p to ~
)
FIRST, OTHER = 32, 1000
ACCENTED = dict(zip("ñáéíóúüÑÁÉÍÓÚÜ¿¡\u00a0", "naeiouuNAEIOUU?! ", strict=True))
MARKS = "\u2068\u2069"  # around the words of a person until they are printed: no width


class Piece(NamedTuple):
    """Words in one size and weight."""

    text: str
    size_pt: float
    bold: bool = False


def width_mm(piece: Piece) -> float:
    """Width of a piece set in one line, in millimetres."""
    table = BOLD if piece.bold else REGULAR
    total = sum(table[ord(c) - FIRST] if 0 <= ord(c) - FIRST < len(table) else _other(c, table) for c in piece.text)
    return total / 1000 * piece.size_pt * MM_PER_POINT


def _other(character: str, table: tuple[int, ...]) -> int:
    """Width of what stands after the tilde: letters with an accent are as wide as those without."""
    plain = ACCENTED.get(character)
    return table[ord(plain) - FIRST] if plain else 0 if character in MARKS else OTHER


def lines(pieces: Iterable[Piece], room_mm: float) -> int:
    """Lines that the pieces take together, broken at spaces, or inside a word longer than a line."""
    count, used = 0, room_mm + 1
    for piece in pieces:
        space = width_mm(piece._replace(text=" "))
        for word in piece.text.split():
            wide = width_mm(piece._replace(text=word))
            if used + space + wide <= room_mm:
                used += space + wide
                continue
            broken = max(1, math.ceil(wide / room_mm))
            count += broken
            used = wide - (broken - 1) * room_mm
    return count


def shortened(piece: Piece, room_mm: float, most_lines: int) -> str:
    """The text of `piece`, cut at a word so that it and an ellipsis take at most `most_lines`."""
    text = piece.text
    if lines([piece], room_mm) <= most_lines:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if lines([piece._replace(text=f"{text[:middle]} …")], room_mm) <= most_lines:
            low = middle
        else:
            high = middle - 1
    at_a_word = text[low : low + 1].isspace() or " " not in text[:low].strip()
    kept = text[:low] if at_a_word else text[:low].rsplit(None, 1)[0]
    return f"{kept.rstrip()} …"
