"""Prints every published value that the program computes with, under the document it comes from."""

import importlib
import pkgutil
from collections.abc import Iterator
from typing import Any

from django.core.management.base import BaseCommand

import opsrisk.reference
from opsrisk.reference import sources
from opsrisk.reference.value import Published, Source, Table

HEAD = """# Sources

Made by `make docs` from `opsrisk/reference`; do not edit. Every number that the program computes with stands here as
it was printed, under its document. 'read' means that somebody compared it with the text on that day; 'memory', that
nobody has. The numbers of a protocol carry their sources in the protocol itself.
"""


def published() -> Iterator[tuple[str, Published | Table]]:
    """Every value of `opsrisk.reference` with the name that code uses, also inside tuples and dicts."""
    for module in pkgutil.iter_modules(opsrisk.reference.__path__):
        for name, value in vars(importlib.import_module(f"opsrisk.reference.{module.name}")).items():
            for place, part in _parts(value):
                if isinstance(part, Published | Table):
                    yield f"{module.name}.{name}{place}", part


def _parts(value: object) -> list[tuple[str, object]]:
    if isinstance(value, dict):
        return [(f"[{key}]", part) for key, part in value.items()]
    if isinstance(value, tuple):
        return [(f"[{index}]", part) for index, part in enumerate(value)]
    return [("", value)]


def _about(source: Source) -> str:
    parts = (source.author, source.year, source.edition, source.licence, source.address)
    return ". ".join(str(part) for part in parts if part)


def _row(name: str, value: Published | Table) -> str:
    shown = f"{value.value} {value.unit}" if isinstance(value, Published) else f"table of {len(value.rows)} rows"
    day = f"{value.status} {value.checked or ''}"
    until = f"superseded {value.until}" if value.until else ""
    cells = (f"`{name}`", shown, value.where, day, "; ".join(part for part in (value.note, until) if part))
    return "| " + " | ".join(cell.strip().replace("|", "\\|") for cell in cells) + " |"


def document() -> str:
    """The whole of docs/sources.md."""
    values = list(published())
    lines = [HEAD]
    for source in (each for each in vars(sources).values() if isinstance(each, Source)):
        rows = sorted(_row(name, value) for name, value in values if value.source == source)
        lines += [f"## {source.title}", "", _about(source), ""]
        if rows:
            lines += ["| name | as printed | where | seen | note |", "| --- | --- | --- | --- | --- |", *rows, ""]
    return "\n".join(lines)


class Command(BaseCommand):
    help = __doc__

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(document())
