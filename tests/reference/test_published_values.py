"""The form of published values: printed text kept, marks required, documents told apart."""

import importlib
import pkgutil
from collections.abc import Iterator
from datetime import date

import pytest

import opsrisk.reference
from opsrisk.reference import sources
from opsrisk.reference.value import Published, Source, Table

RULE = Source(title="A rule", address="https://example.org/rule")
DAY = date(2026, 11, 25)


def every(kind: type) -> Iterator[tuple[str, object]]:
    """Every module-level value of `kind` in opsrisk.reference, also inside tuples and dicts."""
    for module in pkgutil.iter_modules(opsrisk.reference.__path__):
        for name, value in vars(importlib.import_module(f"opsrisk.reference.{module.name}")).items():
            parts = value.values() if isinstance(value, dict) else value if isinstance(value, tuple) else (value,)
            for part in parts:
                if isinstance(part, kind):
                    yield f"{module.name}.{name}", part


def test_a_value_keeps_the_digits_it_was_printed_with():
    """A value printed as 1.0 kn stays '1.0' and converts to exactly 1852/3600 m/s."""
    knot = Published("1.0", "kn", source=RULE, where="(b)", checked=DAY, status="read")
    assert knot.value == "1.0"
    assert knot.si == 1852 / 3600


@pytest.mark.parametrize(
    ("value", "unit", "checked", "status", "says"),
    [
        ("about 1", "kn", DAY, "read", "Invalid literal for Fraction"),
        ("1", "furlong", DAY, "read", "'furlong' is not one of"),
        ("1", "kn", DAY, "seen", "neither 'read' nor 'memory'"),
        ("1", "kn", None, "read", "carries the day it was checked"),
        ("1", "kn", DAY, "memory", "from memory carries none"),
    ],
)
def test_a_value_without_its_proof_is_refused(value, unit, checked, status, says):
    """A number that is none, an unknown unit, or a status without its day is refused with the reason."""
    with pytest.raises(ValueError, match=says):
        Published(value, unit, source=RULE, where="(b)", checked=checked, status=status)


def test_a_ragged_table_is_refused():
    """A table row with a cell too few is refused."""
    with pytest.raises(ValueError, match="1 cells, the table has 2 columns"):
        Table((("depth", "fsw"), ("limit", "min")), (("60",),), source=RULE, where="9", checked=DAY, status="read")


def test_a_table_column_converts_cell_by_cell():
    """A column comes out in the calculation's unit, row by row, and an unknown column is a KeyError."""
    table = Table((("depth", "ft"),), (("10",), ("20",)), source=RULE, where="9", checked=DAY, status="read")
    assert table.column("depth") == (3.048, 6.096)
    with pytest.raises(KeyError):
        table.column("limit")


def test_every_document_is_cited_once():
    """No two sources share a title and an edition, and each has a title."""
    known = [source for _, source in every(Source)]
    assert len({(s.title, s.edition) for s in known}) == len({id(s) for s in known})
    assert all(s.title for s in known)


def test_every_published_value_names_a_listed_document():
    """Each published number and table cites a document of sources.py and a place in it."""
    listed = [value for value in vars(sources).values() if isinstance(value, Source)]
    for kind in (Published, Table):
        for name, value in every(kind):
            assert any(value.source is source for source in listed), f"{name}: document not in sources.py"
            assert value.where, f"{name}: no place in the document"
