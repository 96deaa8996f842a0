"""Works out past facts. They follow from signed records: nobody's name stands under them and the log has no entry."""

from itertools import compress
from uuid import UUID, uuid4

from django.db import transaction

from opsrisk.agencies.models import Agency
from opsrisk.engine.inputs import DECISIONS
from opsrisk.engine.parts import Protocol
from opsrisk.operations.models import Assessment
from opsrisk.review.facts import basis_of, packed
from opsrisk.review.models import PastFacts

AT_ONCE = 500  # records read into memory together, and kept in one row
ID_BYTES = 16

Row = tuple[UUID, UUID, int, bytes]  # assessment, version, decision, values


def missing(agency: Agency, protocol: Protocol) -> int:
    """How many of the agency's assessments lack facts on the basis of `protocol`."""
    kept = PastFacts.objects.filter(agency=agency, basis=basis_of(protocol)).values_list("number", flat=True)
    return Assessment.objects.filter(operation__agency=agency).count() - sum(kept)


def work_out_facts(*, agency: Agency, protocol: Protocol, most: int) -> int:
    """Keeps the facts of up to `most` assessments that lack them; returns of how many."""
    if not missing(agency, protocol):
        return 0
    basis, done = basis_of(protocol), 0
    known = _known(agency, basis)
    every = Assessment.objects.filter(operation__agency=agency).order_by("assessed_at", "pk")
    lacking = [pk for pk in every.values_list("pk", flat=True) if pk not in known][:most]
    for start in range(0, len(lacking), AT_ONCE):
        done += _keep(agency, basis, _rows(lacking[start : start + AT_ONCE], protocol))
    return done


def drop_unused_facts(*, agency: Agency, keep: frozenset[str]) -> int:
    """Deletes facts on bases that no version of the agency needs; returns how many rows."""
    return PastFacts.objects.filter(agency=agency).exclude(basis__in=keep).delete()[0]


def _rows(wanted: list[UUID], protocol: Protocol) -> list[Row]:
    """Reading and working out takes milliseconds a record, so it is done outside any transaction."""
    found = Assessment.objects.filter(pk__in=wanted).order_by("assessed_at", "pk")
    return [
        (pk, version, DECISIONS.index(decision), packed(record, protocol))
        for pk, version, decision, record in found.values_list("pk", "protocol_id", "decision", "record")
    ]


@transaction.atomic
def _keep(agency: Agency, basis: str, rows: list[Row]) -> int:
    """Writes what no other worker has written meanwhile; the agency's row is the lock."""
    Agency.objects.select_for_update(no_key=True).get(pk=agency.pk)
    known = _known(agency, basis)
    rows = [row for row in rows if row[0] not in known]
    if rows:
        ids, versions, decisions, values = zip(*rows, strict=True)
        PastFacts.objects.create(
            agency=agency,
            basis=basis,
            stamp=uuid4().hex,
            number=len(rows),
            ids=b"".join(pk.bytes for pk in ids),
            versions=b"".join(pk.bytes for pk in versions),
            decisions=bytes(decisions),
            readable=bytes(bool(each) for each in values),
            values=b"".join(compress(values, values)),
        )
    return len(rows)


def _known(agency: Agency, basis: str) -> set[UUID]:
    rows = PastFacts.objects.filter(agency=agency, basis=basis).values_list("ids", flat=True)
    return {UUID(bytes=bytes(ids[at : at + ID_BYTES])) for ids in rows for at in range(0, len(ids), ID_BYTES)}
