"""What the registry says of one computation: what it asks, what it answers, how well, and on whose authority.

Everything else follows from these entries: the strict reading of an input document, its JSON Schema, the answer
with its range, the command, the API, the plan and the pages in docs/computations.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from opsrisk.assessment.fields import Choice, Group, Measure, Number, Text, Time
from opsrisk.reference.value import Source

Values = Mapping[str, Any]
Call = Callable[[Values], Mapping[str, Any]]
Toward = Literal["nearest", "up", "down"]
Kind = Literal["quantity", "word", "yes_no", "time", "rows"]

SPEED = ("m/s", "kn", "ft/s", "km/h")
WIND = ("m/s", "kn", "mph", "km/h")
LENGTH = ("m", "ft")
DEPTH = ("m", "ft", "fsw", "msw")
SMALL = ("mm", "cm", "in", "m", "ft")
TEMPERATURE = ("C", "F")
MINUTES = ("min", "h", "s")
FORCE = ("N", "lbf")
VOLUME = ("L", "ft3")
PRESSURE = ("bar", "psi", "kPa")
MASS = ("kg", "lb")
AREA = ("m2", "ft2")
RATE = ("L/min", "ft3/min")
ANGLE = ("deg",)

WATERS = ("fresh", "brackish", "salt")
# Heavier water pulls harder and presses more; the figure for fresh and salt is the one the physics was checked with.
DENSITY_KGPM3 = {"fresh": 1000.0, "brackish": 1015.0, "salt": 1025.0}
SALINITY = {"fresh": 0.0, "brackish": 15.0, "salt": 35.0}
UNITS = ("metric", "us")


@dataclass(frozen=True)
class Rows:
    """A list of at least `least` and at most `most` groups."""

    row: Group
    least: int = 1
    most: int = 40
    may_be_unknown: bool = True


@dataclass(frozen=True)
class Packed:
    """A document of its own, such as a current station, that the physics reads and refuses itself."""

    title: str
    may_be_unknown: bool = True


Shape = Measure | Number | Choice | Time | Text | Group | Rows | Packed


@dataclass(frozen=True)
class Asked:
    """One input: its field, what it may be, and the question in words.

    What happens where nobody knows it: `setting` is taken (a usual value, said in the answer); else every value of
    `span` (SI; every choice of a category) is, and the answer is a range; else None, where it is `optional`; else
    the computation is refused and names it. `whole` hands over low, value and high to a computation that takes
    bounds itself.
    """

    name: str
    shape: Shape
    words: str
    setting: str = ""
    unit: str = ""
    span: tuple[float, float] | None = None
    optional: bool = False
    whole: bool = False
    why: str = ""  # where the setting or the span comes from

    @property
    def is_ranged(self) -> bool:
        """Whether not knowing it gives a range of answers."""
        return not self.setting and (self.span is not None or (isinstance(self.shape, Choice) and not self.optional))


@dataclass(frozen=True)
class Error:
    """How far an answer may be off. `checked` names what manage.py check_physics measures it by, and `within` the
    number that stands in `text`: a test compares the two."""

    text: str
    checked: tuple[str, str] | None = None
    within: float = 0.0


@dataclass(frozen=True)
class Answered:
    """One output: its field, words and unit, how it is rounded (`toward` the careful side), and its error."""

    name: str
    words: str
    unit: str = ""
    places: int = 0
    us: tuple[str, int] | None = None  # unit and places where the agency works in feet and pounds
    toward: Toward = "nearest"
    kind: Kind = "quantity"
    error: Error | None = None
    columns: tuple["Answered", ...] = ()
    drawn: bool = False  # a list that goes with the middle of what is known, while the other answers are ranges

    def in_units(self, units: str) -> tuple[str, int]:
        return self.us if units == "us" and self.us else (self.unit, self.places)


@dataclass(frozen=True)
class Computation:
    """One computation. `arguments` maps the names that the physics refuses by to the fields asked here."""

    name: str
    title: str
    question: str
    method: str
    limits: str
    page: str
    sources: tuple[Source, ...]
    asks: tuple[Asked, ...]
    answers: tuple[Answered, ...]
    call: Call
    arguments: Mapping[str, str]
    most_points: int = 243
    cautions: tuple[str, ...] = ()

    def ask(self, name: str) -> Asked:
        return next(one for one in self.asks if one.name == name)


def cited(source: Source) -> str:
    """A source in one line, as a page or a sheet cites it.

    >>> cited(Source("Search and Screening", author="Koopman", year=1946))
    'Koopman, Search and Screening, 1946'
    """
    parts = (source.author, source.title, source.edition, str(source.year or ""))
    return ", ".join(part for part in parts if part)
