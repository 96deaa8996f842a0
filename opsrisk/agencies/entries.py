"""The ledger entry of an action by a person."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import models

from opsrisk.agencies.models import Person
from opsrisk.ledger.actions import SYSTEM, append
from opsrisk.ledger.models import Entry


def enter(
    *,
    by: Person | None,
    at: datetime,
    agency_id: UUID | None,
    verb: str,
    subject: models.Model,
    detail: Mapping[str, Any] | None = None,
) -> Entry:
    """Logs that `by` (None: the command line) did `verb` to `subject`; inside the action's transaction."""
    return append(
        by=str(by.pk) if by else SYSTEM,
        by_name=by.name if by else "command line",
        at=at,
        agency_id=agency_id,
        verb=verb,
        subject_type=subject._meta.label_lower,
        subject_id=str(subject.pk),
        detail=detail or {},
    )
