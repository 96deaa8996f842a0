"""A training day as the page tells it."""

from datetime import date

from opsrisk.records.training_actions import Told, keep_training
from tests.operations.sending import RECEIVED


def trained(*people, **changes):
    said = {"held_on": date(2026, 5, 30), "what": "Lost-diver drill", "hours": "3.5"}
    return Told(**(said | {"people": tuple(one.pk for one in people)} | changes))


def entered(cast, *people, by=None, replaces=None, **changes):
    told = trained(*people, **changes)
    return keep_training(agency=cast.agency, told=told, replaces=replaces, by=by or cast.supervisor, at=RECEIVED)
