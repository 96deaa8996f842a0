"""Works out past facts. They follow from signed records: nobody's name stands under them and the log has no entry."""

from django.db.models import Exists, OuterRef, QuerySet

from opsrisk.agencies.models import Agency
from opsrisk.engine.inputs import DECISIONS
from opsrisk.engine.parts import Protocol
from opsrisk.operations.models import Assessment
from opsrisk.review.facts import basis_of, packed
from opsrisk.review.models import PastFacts

AT_ONCE = 200  # records read into memory together


def missing(agency: Agency, protocol: Protocol) -> QuerySet[Assessment]:
    """The agency's assessments in force whose facts on the basis of `protocol` have not been worked out."""
    known = PastFacts.objects.filter(basis=basis_of(protocol), assessment=OuterRef("pk"))
    rows = Assessment.objects.filter(operation__agency=agency).current()
    return rows.exclude(Exists(known))


def work_out_facts(*, agency: Agency, protocol: Protocol, most: int) -> int:
    """Keeps the facts of up to `most` assessments that lack them; returns of how many."""
    basis, done = basis_of(protocol), 0
    while done < most:
        wanted = min(AT_ONCE, most - done)
        oldest = missing(agency, protocol).order_by("assessed_at", "pk")
        rows = oldest.values_list("pk", "record", "decision", "protocol_id")[:wanted]
        made = [
            PastFacts(
                assessment_id=pk,
                agency=agency,
                basis=basis,
                version_id=version,
                decision=DECISIONS.index(decision),
                values=packed(record, protocol),
            )
            for pk, record, decision, version in rows
        ]
        # Two workers may find the same rows; what they work out is the same.
        PastFacts.objects.bulk_create(made, ignore_conflicts=True)
        done += len(made)
        if len(made) < wanted:
            break
    return done


def drop_unused_facts(*, agency: Agency, keep: frozenset[str]) -> int:
    """Deletes facts on bases that no version of the agency needs; returns how many rows."""
    return PastFacts.objects.filter(agency=agency).exclude(basis__in=keep).delete()[0]
