"""Where the limits were tight: how often each rule fired, decided, and was set aside, under each protocol version."""

from dataclasses import dataclass
from urllib.parse import urlencode
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from opsrisk.protocols.models import ProtocolVersion
from opsrisk.review.models import Finding, InForce, Phrase
from opsrisk.review.trends import FEW

RULES = (Phrase.What.STOP, Phrase.What.TRIGGER)
OTHERS = (Phrase.What.THIN, Phrase.What.ASSUMED, Phrase.What.POINTS, Phrase.What.UNTICKED)


@dataclass(frozen=True)
class Fired:
    """One rule, or one thing said by name, under one version."""

    version: str
    version_id: UUID
    phrase: Phrase
    fired: int
    decided: int
    set_aside: int  # another decision was chosen although it fired
    of: int  # assessments under that version

    @property
    def what(self) -> str:
        return self.phrase.what

    @property
    def kind(self) -> str:
        return self.phrase.get_what_display()

    @property
    def name(self) -> str:
        return self.phrase.name

    @property
    def text(self) -> str:
        return self.phrase.text

    @property
    def doubtful(self) -> bool:
        """Set aside in more than half of at least FEW cases: the rule or the training is wrong."""
        return self.what in RULES and self.fired >= FEW and self.set_aside * 2 > self.fired

    @property
    def says(self) -> str:
        """As the list is asked for it."""
        return urlencode({"says": f"{self.what}:{self.name}", "version": self.version_id})


def findings(rows: QuerySet[InForce], *, agency: UUID | None) -> tuple[Fired, ...]:
    """Everything that the assessments in `rows` say by name, the most frequent of a version first; with `agency`
    everything that any of that agency's says."""
    totals = dict(rows.order_by().values_list("protocol").annotate(number=Count("pk")))
    of = (
        Finding.objects.filter(agency=agency) if agency else Finding.objects.filter(of__in=rows.order_by().values("pk"))
    )
    counted = list(
        of.order_by()
        .values_list("protocol", "phrase")
        .annotate(
            fired=Count("pk"), because=Count("pk", filter=Q(decided=True)), aside=Count("pk", filter=Q(aside=True))
        )
    )
    phrases = Phrase.objects.in_bulk({phrase for _, phrase, *_ in counted})
    versions = ProtocolVersion.objects.defer("document").in_bulk(list(totals))
    table = [
        Fired(
            f"{versions[pk].protocol_id} {versions[pk].version}", pk, phrases[phrase], fired, because, aside, totals[pk]
        )
        for pk, phrase, fired, because, aside in counted
    ]
    return tuple(sorted(table, key=lambda row: (row.version, -row.fired, row.text)))
