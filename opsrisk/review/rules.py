"""Where the limits were tight: how often each rule fired, decided, and was set aside, under each protocol version."""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode
from uuid import UUID

from django.db.models import Count, F, Min, Q, QuerySet

from opsrisk.review.models import Finding, InForce
from opsrisk.review.trends import FEW, VERSION

RULES = (Finding.What.STOP, Finding.What.TRIGGER)
OTHERS = (Finding.What.THIN, Finding.What.ASSUMED, Finding.What.POINTS, Finding.What.UNTICKED)


@dataclass(frozen=True)
class Fired:
    """One rule, or one thing said by name, under one version."""

    version: str
    version_id: UUID
    what: str
    kind: str
    name: str
    text: str
    fired: int
    decided: int
    set_aside: int  # another decision was chosen although it fired
    of: int  # assessments under that version

    @property
    def doubtful(self) -> bool:
        """Set aside in more than half of at least FEW cases: the rule or the training is wrong."""
        return self.what in RULES and self.fired >= FEW and self.set_aside * 2 > self.fired

    @property
    def says(self) -> str:
        """As the list is asked for it."""
        return urlencode({"says": f"{self.what}:{self.name}", "version": self.version_id})


def findings(rows: QuerySet[InForce]) -> tuple[Fired, ...]:
    """Everything that the assessments in `rows` say by name, the most frequent of a version first."""
    totals: Mapping[tuple[str, str], int] = {
        (name, version): number
        for name, version, number in rows.order_by().values_list(*VERSION).annotate(number=Count("pk"))
    }
    columns = (*(f"of__{name}" for name in VERSION), "of__protocol", "what", "name")
    counted = (
        Finding.objects.filter(of__in=rows.order_by().values("pk"))
        .order_by()
        .values_list(*columns)
        .annotate(
            text=Min("text"),
            fired=Count("pk"),
            because=Count("pk", filter=Q(decided=True)),
            aside=Count("pk", filter=~Q(of__chosen_decision=F("of__decision"))),
        )
    )
    table = [
        Fired(
            f"{named} {version}",
            pk,
            what,
            Finding.What(what).label,
            name,
            text,
            fired,
            because,
            aside,
            of=totals[named, version],
        )
        for named, version, pk, what, name, text, fired, because, aside in counted
    ]
    return tuple(sorted(table, key=lambda row: (row.version, -row.fired, row.text)))
