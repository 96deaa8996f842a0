"""The log is checked each night, and its signed head exported each hour."""

import logging
from datetime import timedelta

from opsrisk.jobs import job
from opsrisk.ledger import exports
from opsrisk.ledger.actions import verify

log = logging.getLogger(__name__)


@job("ledger.verify", every=timedelta(hours=24))
def verify_log() -> int:
    """Returns how many problems were found; each is logged as an error for whoever runs the server."""
    report = verify(exported=exports.read(exports.path()))
    for problem in report.problems:
        log.error("ledger: %s (entry %s)", problem.what, problem.index)
    return len(report.problems)


@job("ledger.export_head", every=timedelta(hours=1))
def export_head() -> bool:
    return exports.write() is not None
