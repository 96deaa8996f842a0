"""Every number of the shipped protocol says where it comes from."""

import json
import re

from opsrisk.protocols.shipped import BASELINE

NUMBER = re.compile(r"-?\d+(\.\d+)?")
KINDS = {"published", "agency", "practice"}


def numbers(node, where=(), source=None):
    """Each number with its place in the document and the nearest source that stands over it."""
    if isinstance(node, dict):
        for name, below in node.items():
            if name not in {"source", "version"}:
                yield from numbers(below, (*where, name), node.get("source", source))
    elif isinstance(node, list):
        for index, below in enumerate(node):
            yield from numbers(below, (*where, str(index)), source)
    elif (isinstance(node, str) and NUMBER.fullmatch(node)) or (isinstance(node, int | float) and node is not True):
        yield ".".join(where), source


def baseline():
    return json.loads(BASELINE.read_text())


def test_every_number_has_a_source():
    """A number without a source is somebody's memory."""
    found = list(numbers(baseline()))
    assert len(found) > 50
    assert not [where for where, source in found if not source or source.get("kind") not in KINDS]


def test_every_published_number_says_where_it_stands():
    """A published number names document and place, and who has seen it: we, or a document that quotes it."""
    published = [(where, source) for where, source in numbers(baseline()) if source and source["kind"] == "published"]
    assert published
    incomplete = [where for where, source in published if not (source.get("document") and source.get("where"))]
    assert not incomplete
    assert not [where for where, source in published if source.get("status") not in {"read", "second-hand"}]
