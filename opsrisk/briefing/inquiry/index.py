"""The archive's page to read: no script, nothing from elsewhere, every value from the rows that are in the archive."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.template.loader import render_to_string

from opsrisk.operations.models import Operation
from opsrisk.operations.shown import shown
from opsrisk.operations.side_by_side import log_rows


def page(operation: Operation, gathered: Mapping[str, Any], files: Mapping[str, str]) -> bytes:
    """`files` are those that carry evidence, with their SHA-256; `gathered` is what they were made of."""
    context = {
        "operation": operation,
        "document": gathered["document"],
        "files": sorted(files.items()),
        "revisions": [{"one": one, **shown(one.row)} for one in gathered["revisions"]],
        "told": gathered["told"],
        "lines": list(log_rows(operation)),
        "entries": gathered["entries"],
        "cautions": gathered["document"]["cautions"],
    }
    return render_to_string("briefing/archive_index.html", context).encode()
