"""Documents that are made from the program say what the program says."""

from opsrisk.api.management.commands.write_schemas import files
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


def test_schemas_in_docs_are_the_served_ones():
    """docs/schemas holds what /schemas/ serves: `make docs` was run."""
    folder = ROOT / "docs" / "schemas"
    assert {path.name: path.read_text() for path in folder.iterdir()} == files()
