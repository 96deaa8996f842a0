"""An operation as it may come before an inquiry: two revisions, readings, sheets on both papers, heads kept elsewhere."""

from dataclasses import dataclass
from datetime import timedelta

from django.db import transaction

from opsrisk.assessment.record import canonical
from opsrisk.briefing.actions import issue_sheet
from opsrisk.briefing.jobs import render_sheet
from opsrisk.briefing.models import Sheet
from opsrisk.briefing.verifier import verify_operation as verifier
from opsrisk.ledger import exports, signing
from opsrisk.ledger.actions import append
from opsrisk.operations.log_actions import receive_line
from opsrisk.operations.models import Assessment, Operation
from tests.operations import sending
from tests.operations.test_log import line

RECEIVED = sending.RECEIVED


@dataclass(frozen=True)
class Past:
    operation: Operation
    first: Assessment
    second: Assessment
    sheets: list[Sheet]
    heads: list[dict]  # exported before the end, kept elsewhere

    def anchors(self, **more):
        return verifier.Anchors(keys=signing.public_keys(), heads=self.heads, **more)


def sheet_of(assessment, by, paper, at):
    """Issued and made, whether or not the surrounding transaction ever commits."""
    made = issue_sheet(assessment=assessment, paper=paper, by=by, at=at)
    render_sheet(str(made.pk))
    made.refresh_from_db()
    assert made.state == Sheet.State.READY
    return made


def past(cast, papers=("letter",)) -> Past:
    """Through the same doors as in life. The baseline has to be in force."""
    first = sending.received(cast)
    exports.write()
    made = sending.record(
        cast, sending.situation(hazards__entanglement="moderate"), number=2, revision=2, previous=first.digest
    )
    late = sending.sign(made, cast.diver, "briefed", sending.ASSESSED + timedelta(minutes=5))
    early = sending.sign(made, cast.supervisor)
    sending.send(cast, sending.body(made, early), key="second")
    sheets = [sheet_of(Assessment.objects.get(pk=made["id"]), cast.supervisor, papers[0], RECEIVED)]
    sending.send(cast, sending.body(made, early, late), key="second, signed again")
    for number, (kind, by) in enumerate(
        (("reading", cast.diver), ("recall", cast.supervisor), ("reading", cast.diver))
    ):
        given = line(by, first.operation, kind, id=f"00000000-0000-4000-8000-00000000000{number + 1}")
        receive_line(body=canonical(given), by=by, at=RECEIVED)
    exports.write()
    second = Assessment.objects.get(pk=made["id"])
    sheets += [sheet_of(second, cast.supervisor, paper, RECEIVED + timedelta(hours=1)) for paper in papers[1:]]
    heads = [head.document() for head in exports.read(exports.path())]
    return Past(first.operation, first, second, sheets, heads)


def elsewhere(number=0):
    """An entry of the log about something else, so that proofs have neighbours."""
    with transaction.atomic():
        append(
            by="x", by_name="x", at=RECEIVED, agency_id=None, verb="test", subject_type="t", subject_id=str(number),
            detail={},
        )  # fmt: skip


OTHER = "00000000-0000-4000-8000-0000000000aa"  # another operation of the same agency


def another_operation(cast) -> Operation:
    """One with a record and a sheet, to graft from."""
    record = sending.record(cast, number=50, operation=sending.record(cast)["operation"] | {"id": OTHER})
    sending.send(cast, sending.body(record, sending.sign(record, cast.supervisor)), key="other")
    sheet_of(Assessment.objects.get(pk=record["id"]), cast.supervisor, "a4", RECEIVED)
    return Operation.objects.get(pk=OTHER)
