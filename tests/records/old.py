"""Records past their period, and a request that they go."""

from datetime import timedelta

from opsrisk.records.purge_actions import ask_purge
from opsrisk.records.retention_actions import set_retention
from tests.operations.sending import RECEIVED
from tests.records.dives import REASON, TOLD, kept
from tests.records.training import entered

AGO = timedelta(days=800)
OLD = {"in_at": TOLD["in_at"] - AGO, "out_at": TOLD["out_at"] - AGO}


def old_records(cast, operation):
    """Two guests' dives, one of them corrected, and a training day of guests: all past a period of one year."""
    years = {"dives": "1", "training": "1"}
    set_retention(agency=cast.agency, years=years, reason=REASON, by=cast.chief, at=RECEIVED)
    first = kept(cast, operation, guest="A. Visitor", **OLD)
    kept(cast, operation, guest="A. Visitor", replaces=first.dive, reason=REASON, **OLD)
    kept(cast, operation, guest="B. Visitor", **OLD)
    entered(cast, guests="C. Visitor", held_on=(RECEIVED - AGO).date())


def asked_for(cast, operation, kind="dives", by=None, at=RECEIVED):
    old_records(cast, operation)
    return ask_purge(agency=cast.agency, kind=kind, reason=REASON, by=by or cast.chief, at=at)
