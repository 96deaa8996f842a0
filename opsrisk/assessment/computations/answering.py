"""Short ways to write the outputs of an entry."""

from opsrisk.assessment.computations.entry import Answered, Error, Toward

Us = tuple[str, int]


def quantity(
    name: str, words: str, unit: str, places: int, us: Us | None = None, *, toward: Toward = "nearest",
    error: str = "", checked: tuple[str, str] | None = None, within: float = 0.0,
) -> Answered:  # fmt: skip
    """A number with its unit; `checked` and `within` tie its error to what manage.py check_physics measures."""
    stated = Error(error, checked, within) if error else None
    return Answered(name, words, unit, places, us, toward, error=stated)


def word(name: str, words: str) -> Answered:
    return Answered(name, words, kind="word")


def yes_no(name: str, words: str) -> Answered:
    return Answered(name, words, kind="yes_no")


def time(
    name: str, words: str, error: str = "", checked: tuple[str, str] | None = None, within: float = 0.0
) -> Answered:
    return Answered(name, words, kind="time", error=Error(error, checked, within) if error else None)


def rows(name: str, words: str, *columns: Answered) -> Answered:
    return Answered(name, words, kind="rows", columns=columns)


def drawn(name: str, words: str, *columns: Answered) -> Answered:
    """A list that goes with the middle of what is known, while the other answers are ranges."""
    return Answered(name, words, kind="rows", columns=columns, drawn=True)
