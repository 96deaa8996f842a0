"""The archive's page to read: no script, nothing from elsewhere, every value from the rows that are in the archive."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.template.loader import render_to_string

from opsrisk.briefing.inquiry.moment import Moment


def page(of: Moment, document: Mapping[str, Any], files: Mapping[str, str]) -> bytes:
    """`files` are those that carry evidence, with their SHA-256; `document` lists what is in them."""
    context = {
        "operation": of.operation,
        "document": document,
        "files": sorted(files.items()),
        "told": of.told,
        "entries": of.entries,
        "cautions": document["cautions"],
        **of.to_read,
    }
    return render_to_string("briefing/archive_index.html", context).encode()
