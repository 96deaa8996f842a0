"""Documents that are made from the program say what the program says."""

from opsrisk.protocols.management.commands.list_sources import document, published
from tests.house.reading import ROOT


def test_list_of_sources_is_the_programs():
    """docs/sources.md lists every published value as it stands in the program: `make docs` was run."""
    assert (ROOT / "docs" / "sources.md").read_text().rstrip() == document().rstrip()


def test_every_published_value_has_a_listed_document():
    """No value names a document that the list of documents does not have."""
    text = document()
    assert len(list(published())) > 30
    assert not [name for name, _ in published() if f"`{name}`" not in text]
