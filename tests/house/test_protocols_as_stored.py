"""A stored protocol is read in one way, which checks its digest: `rules()` or `text()`, never the column itself."""

import ast

from tests.house.reading import ROOT

# What a stored version is called where one is handled. The engine's and the assessment's own objects are others.
NAMES = {"version", "found", "base", "now", "other", "draft", "protocol", "made", "by_version"}
READS = {
    "opsrisk/protocols/models.py",  # the check itself
    "opsrisk/protocols/actions.py",  # writes it; and keeps what was discarded, whatever it is
}
PURE = ("opsrisk/engine/", "opsrisk/assessment/", "opsrisk/reference/", "opsrisk/physics/")


def read_unchecked(source: str) -> list[int]:
    """Lines that read `.document` of a row's `.protocol`, or, where versions are handled, of what is called like one."""
    handled = "ProtocolVersion" in source or "protocol_in_force" in source
    return [
        node.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Attribute) and node.attr == "document" and isinstance(node.ctx, ast.Load)
        and (
            (handled and isinstance(node.value, ast.Name) and node.value.id in NAMES)
            or (isinstance(node.value, ast.Attribute) and node.value.attr == "protocol")
        )
    ]  # fmt: skip


def test_nobody_reads_a_stored_protocol_past_the_check():
    """Pages, jobs, API and tablet decide, draw and compare from what was checked."""
    found = {}
    for path in sorted((ROOT / "opsrisk").rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        if name not in READS and not name.startswith(PURE):
            found[name] = read_unchecked(path.read_text())
    assert len(found) > 100
    assert {name: lines for name, lines in found.items() if lines} == {}


def test_the_search_finds_what_it_looks_for():
    assert read_unchecked(
        "ProtocolVersion\nread(assessment.protocol.document)\njson.loads(version.document)\nrules.document"
    ) == [2, 3]
