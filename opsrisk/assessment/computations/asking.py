"""Short ways to write the inputs of an entry."""

from opsrisk.assessment.computations.entry import WATERS, Asked
from opsrisk.assessment.fields import Choice, Measure, Number, Text, Time


def amount(
    name: str, units: tuple[str, ...], lowest: float, highest: float, words: str, *, setting: str = "",
    span: tuple[float, float] | None = None, optional: bool = False, whole: bool = False, why: str = "",
) -> Asked:  # fmt: skip
    """A quantity from `lowest` to `highest` (SI); a setting stands in the first of its units."""
    return Asked(name, Measure(units, lowest, highest), words, setting, units[0], span, optional, whole, why)


def number(
    name: str, lowest: str, highest: str, words: str, *, setting: str = "", span: tuple[float, float] | None = None,
    optional: bool = False, why: str = "",
) -> Asked:  # fmt: skip
    """A plain number."""
    return Asked(name, Number(lowest, highest), words, setting, "", span, optional, why=why)


def pick(
    name: str, values: tuple[str, ...], words: str, *, setting: str = "", optional: bool = False, why: str = ""
) -> Asked:
    """One of several words."""
    return Asked(name, Choice(values), words, setting, optional=optional, why=why)


def moment(name: str, words: str, *, optional: bool = False) -> Asked:
    """A time with its offset."""
    return Asked(name, Time(may_be_unknown=True), words, optional=optional)


def known(units: tuple[str, ...], lowest: float, highest: float) -> Measure:
    """A quantity in a row of a list."""
    return Measure(units, lowest, highest, may_be_unknown=False)


NAME = Text(80)
WATER = pick("water", WATERS, "Water", why="any water: 1,000, 1,015 or 1,025 kg/m3")
