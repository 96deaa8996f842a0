"""The field guide says what the program says, to the letter, and leaves nothing out."""

import pytest

from opsrisk.assessment.computations.registry import COMPUTATIONS
from opsrisk.operations.field_guide import LINE, PAGES, pages
from opsrisk.operations.physics_checks import compare, read_oracles
from tests.house.reading import ROOT

DOCS, ORACLES = ROOT / "docs" / "computations", ROOT / "fixtures" / "oracles"
EXAMPLES = ROOT / "fixtures" / "computations" / "examples.json"
# Arithmetic that others share, and what no page is about.
PLUMBING = {"ranges", "instant"}


@pytest.fixture(scope="module")
def rows():
    return [row for document in read_oracles(ORACLES) for row in compare(document)]


def test_every_page_is_what_the_program_makes():
    """`make docs` was run: registry, docstrings, checks and published values stand there as they are."""
    wrong = [path.name for path, text in pages(DOCS, ORACLES, EXAMPLES).items() if path.read_text() != text]
    assert not wrong


def test_every_page_has_a_part_written_by_hand():
    """What it computes and how far it holds, in somebody's words, above the line."""
    for path in DOCS.glob("*.md"):
        by_hand, line, _ = path.read_text().partition(LINE)
        assert line, path.name
        assert len(by_hand.split()) > 40, path.name


def test_nothing_is_left_out(rows):
    """Every physics module, every check and every computation by name stands on a page, and every page on the list."""
    modules = {path.stem for path in (ROOT / "opsrisk" / "physics").glob("*.py")} - {"__init__"} - PLUMBING
    shown = {module.removeprefix("physics.") for page in PAGES.values() for module in page.modules}
    assert modules <= shown
    assert {row.computation for row in rows} == {check for page in PAGES.values() for check in page.checks}
    assert {entry.page for entry in COMPUTATIONS.values()} <= set(PAGES)
    assert {path.stem for path in DOCS.glob("*.md")} == set(PAGES)


def test_stated_errors_are_the_measured_ones(rows):
    """What an answer says of its error holds for every case that was measured, and is not idly wide."""
    measured = {(row.computation, row.quantity): row for row in rows}
    stated = [one.error for entry in COMPUTATIONS.values() for one in entry.answers if one.error and one.error.checked]
    assert len(stated) > 8
    for error in stated:
        row = measured[error.checked]
        assert row.greatest <= error.within <= row.bound * 1.0001, error
        text = error.text.replace(" percent", " %").replace(",", "")
        shown = f"{error.within:g}" if row.unit else f"{100 * error.within:g} %"
        assert f"within {shown}" in text, error
