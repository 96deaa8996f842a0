"""The listed operations by site and season, by site over time, and by who decided: counts of how many, no ranking."""

from calendar import month_abbr
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Count, F, Q, QuerySet

from opsrisk.operations.models import Decision
from opsrisk.review.listing import caution_of
from opsrisk.review.models import InForce
from opsrisk.review.trends import FEW, periods

KEPT_OUT = (Decision.VEHICLE_FIRST, Decision.VEHICLE_ONLY, Decision.HOLD)  # no diver goes in, or not first
OUT = Count("pk", filter=Q(decision__in=KEPT_OUT))
MOST_PANELS = 12
SHADES = ("none", "a fifth", "two fifths", "three fifths", "four fifths", "all")  # of the calendar, by share kept out
STEPS = len(SHADES) - 1
MONTH_WORDS = tuple(month_abbr[1:])


@dataclass(frozen=True)
class Cell:
    """Operations of one site in one month of the year: how many, and in how many no diver was to go in first."""

    month: int
    number: int
    out: int

    @property
    def shade(self) -> int | None:
        """0 to STEPS by the share of `out`; None where they are too few for a share."""
        return None if self.number < FEW else round(STEPS * self.out / self.number)


@dataclass(frozen=True)
class Site:
    pk: str
    name: str
    cells: tuple[Cell, ...]  # of the twelve months

    @property
    def number(self) -> int:
        return sum(cell.number for cell in self.cells)


def calendar(rows: QuerySet[InForce]) -> tuple[Site, ...]:
    """Sites by name; operations without a site come last."""
    found: dict[tuple[str, str], dict[int, Cell]] = defaultdict(dict)
    counted = rows.order_by().values_list("site", "site__name", "month").annotate(number=Count("pk"), out=OUT)
    for pk, name, month, number, out in counted:
        found[str(pk or ""), name or ""][month] = Cell(month, number, out)
    named = sorted(found.items(), key=lambda item: (not item[0][0], item[0][1]))
    return tuple(
        Site(pk, name, tuple(cells.get(month, Cell(month, 0, 0)) for month in range(1, 13)))
        for (pk, name), cells in named
    )


@dataclass(frozen=True)
class Bar:
    """One month or year of a panel, and where it is drawn: 10 wide, up to 100 high for the highest of all panels."""

    place: int
    when: str
    number: int
    out: int
    highest: int

    @property
    def x(self) -> int:
        return 10 * self.place + 1

    @property
    def high(self) -> float:
        return round(100 * self.number / self.highest, 1)

    @property
    def high_out(self) -> float:
        return round(100 * self.out / self.highest, 1)

    @property
    def top(self) -> float:
        return round(100 - self.high, 1)

    @property
    def top_out(self) -> float:
        return round(100 - self.high_out, 1)


@dataclass(frozen=True)
class Panel:
    name: str
    bars: tuple[Bar, ...]

    @property
    def number(self) -> int:
        return sum(bar.number for bar in self.bars)

    @property
    def wide(self) -> int:
        return 10 * len(self.bars)

    @property
    def first(self) -> str:
        return self.bars[0].when

    @property
    def last(self) -> str:
        return self.bars[-1].when


def panels(rows: QuerySet[InForce]) -> tuple[Panel, ...]:
    """A small drawing for each site, all on one scale: the sites with the most operations, by name."""
    by = periods(rows)
    counted = rows.order_by().values_list("site", "site__name", *by.columns).annotate(number=Count("pk"), out=OUT)
    found: dict[str, dict[str, tuple[int, int]]] = defaultdict(dict)
    for _, name, *at, number, out in counted:
        found[name or "No site given"][by.words(*at)] = (number, out)
    if not found:
        return ()
    times = list(by.every())
    highest = max(number for bars in found.values() for number, _ in bars.values())
    most = sorted(found.items(), key=lambda item: -sum(number for number, _ in item[1].values()))[:MOST_PANELS]
    return tuple(
        Panel(name, tuple(Bar(n, at, *bars.get(at, (0, 0)), highest) for n, at in enumerate(times)))
        for name, bars in sorted(most)
    )


@dataclass(frozen=True)
class Decider:
    """Somebody who decided, with counts of how many. By name: nobody is ranked."""

    pk: str
    name: str
    number: int
    otherwise: int  # another decision was chosen than the computed one
    bolder: int  # with less caution
    judged_otherwise: int
    unticked: int
    lapsed: int

    @property
    def few(self) -> bool:
        return self.number < FEW


def people(rows: QuerySet[InForce]) -> tuple[Decider, ...]:
    """Everybody who decided one of `rows`."""
    ranked = rows.order_by().annotate(computed=caution_of("decision"), chosen=caution_of("chosen_decision"))
    counted = ranked.values_list("made_by", "made_by__name").annotate(
        number=Count("pk"),
        otherwise=Count("pk", filter=~Q(chosen_decision=F("decision"))),
        bolder=Count("pk", filter=Q(chosen__lt=F("computed"))),
        judged=Count("pk", filter=~Q(own_decision=F("decision"))),
        unticked=Count("pk", filter=Q(unticked__gt=0)),
        lapsed=Count("pk", filter=Q(lapses__gt=0)),
    )
    return tuple(Decider(str(pk), *rest) for pk, *rest in sorted(counted, key=lambda row: (row[1], str(row[0]))))
