"""A protocol read and written again is the same protocol, with the same digest."""

import json
from decimal import Decimal

import pytest
import rfc8785

from opsrisk.assessment.assess import protocol_digest
from opsrisk.assessment.record import canonical, digest
from opsrisk.engine.decide import decide
from opsrisk.engine.protocol import read_protocol
from opsrisk.engine.replay import replay
from opsrisk.protocols.shipped import BASELINE, baseline
from tests.engine.at_random import columns
from tests.engine.protocols import document, with_change


def turned_around(value):
    """The same document with every object's names in the opposite order."""
    if isinstance(value, dict):
        return {name: turned_around(value[name]) for name in reversed(value)}
    return [turned_around(item) for item in value] if isinstance(value, list) else value


def test_a_protocol_survives_being_written_and_read():
    """What `document` holds reads to the same protocol, and the same decisions."""
    again = read_protocol(canonical(baseline().document))
    drawn = columns(baseline(), 10_000, seed=31, harmless=0.9)

    assert again.document == baseline().document
    assert vars(again) | {"document": None} == {
        name: vars(baseline())[name] for name in vars(again)
    } | {"document": None}  # fmt: skip
    assert (replay(again, drawn).decision == replay(baseline(), drawn).decision).all()


def test_the_digest_does_not_depend_on_layout():
    """Order of names, spaces and line breaks change nothing."""
    other = json.dumps(turned_around(document()), indent=7)

    assert protocol_digest(read_protocol(other)) == protocol_digest(baseline())


def test_the_digest_is_that_of_canonical_json():
    """Another program's canonical JSON has the same bytes."""
    assert canonical(baseline().document) == rfc8785.dumps(json.loads(BASELINE.read_text()))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("lines.divers.value", "21"),
        ("factors[0].points[2]", ["0.5", "6"]),
        ("rules[0].text", "No supervisor"),
        ("rules[0].source.note", "read again"),
        ("title", "A protocol"),
    ],
)
def test_every_change_changes_the_digest(path, value):
    """A number, a word or a source: each is part of what was adopted."""
    assert protocol_digest(with_change(path, value)) != protocol_digest(baseline())


def test_the_digest_is_worked_out_once_for_each_protocol():
    """Two protocols never share one, and the same one is not done twice."""
    changed = with_change("title", "Another")

    assert protocol_digest(changed) == digest(changed.document)
    assert protocol_digest(changed) is protocol_digest(changed)


def test_every_number_is_kept_as_it_was_printed():
    """Nothing becomes a float on the way: '1.0' stays '1.0'."""

    def strings(value):
        if isinstance(value, dict):
            return [text for item in value.values() for text in strings(item)]
        if isinstance(value, list):
            return [text for item in value for text in strings(item)]
        assert isinstance(value, str), value
        return [value]

    assert "1.0" in strings(baseline().document)
    assert not any(isinstance(value, float | Decimal) for value in strings(baseline().document))


def test_reading_is_the_only_way_to_decide():
    """A changed number changes decisions only through a document that was read."""
    stricter = with_change("lines.divers.value", "0")
    drawn = columns(baseline(), 10_000, seed=32, harmless=0.97)

    before, after = replay(baseline(), drawn).decision, replay(stricter, drawn).decision

    assert (after >= before).all()
    assert (after > before).any()
    assert decide.__module__ == "opsrisk.engine.decide"
