"""Deliberately broken protocols are refused, each for the right reason."""

import pytest

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.claims import no_better
from opsrisk.engine.decide import decide
from opsrisk.engine.findings import in_words, where_to_look
from opsrisk.engine.proof import prove
from opsrisk.engine.protocol import ProtocolRefused, read_protocol
from tests.engine.broken import entries, text

ENTRIES = entries()
READ = [entry for entry in ENTRIES if "reader" not in entry["fails"]]
NOT_READ = [entry for entry in ENTRIES if "reader" in entry["fails"]]


def test_the_catalogue_is_large_enough_to_mean_something():
    """Thirty faults or more that a reader of protocols lets through, and every property that a protocol can break."""
    assert len(READ) >= 30
    assert {letter for entry in READ for letter in entry["fails"]} == set("bdefhi")
    assert all(len(entry["why"].split()) >= 6 for entry in ENTRIES)


@pytest.mark.parametrize("entry", READ, ids=lambda entry: entry["file"])
def test_broken_protocol_is_refused_for_the_right_reason(entry):
    """Exactly the properties that the fault breaks fail, and name what is at fault; what is shown happens on floats."""
    protocol = read_protocol(text(entry))

    results = prove(protocol)

    failing = {result.letter: [each.subject for each in result.failures] for result in results if not result.proven}
    assert set(failing) == set(entry["fails"])
    assert all(set(subjects) <= set(failing[letter]) for letter, subjects in entry["fails"].items())
    assert all(result.verdict in ("proven", "refuted") for result in results)
    for result in results:
        confirm(protocol, result)
        shown = [failure for failure in result.failures if failure.first is not None and failure.subject != "score"]
        assert all(where_to_look(protocol, failure) for failure in shown)


@pytest.mark.parametrize("entry", NOT_READ, ids=lambda entry: entry["file"])
def test_document_is_refused_at_its_place(entry):
    """What is no protocol is not proven but refused, with the place of the fault."""
    with pytest.raises(ProtocolRefused) as refused:
        read_protocol(text(entry))

    assert [place for place, _, _ in refused.value.errors] == entry["fails"]["reader"]


def confirm(protocol, result):
    """What a failure shows, looked at again without any of the proof's own code but the order of values."""
    for failure in result.failures:
        first, second = failure.first, failure.second
        assert (first is not None) or result.letter in "di" or result.failures.index(failure) >= 3
        if result.letter not in "befh" or second is None:
            continue
        before, after = (decide(protocol, each.facts, NUMBERS) for each in (first, second))
        assert (before.decision, before.score) == (first.decision, first.score)
        assert (after.decision, after.score) == (second.decision, second.score)
        assert failure.differing == tuple(name for name in first.facts if first.facts[name] != second.facts[name])
        assert len(failure.differing) == 1, "one reading made worse is enough to show any of these"
        if result.letter != "f":
            assert all(no_better(name, second.facts, first.facts[name]) for name in failure.differing)
        if result.letter in "fh":
            assert after.decision < before.decision or after.score < before.score
        elif result.letter == "e":
            assert after.score < before.score
        else:
            dropped = any(before.fired[c.id] and not after.fired[c.id] for c in protocol.controls)
            assert after.decision < before.decision or (dropped and after.decision == before.decision)


def test_the_fault_of_the_first_sketch_is_shown_side_by_side():
    """The rescue exemption that opens when waves grow: both situations, in feet, with the decision of each."""
    entry = next(entry for entry in ENTRIES if entry["file"] == "rescue_opens_when_waves_grow")
    protocol = read_protocol(text(entry))

    lines = [line.strip() for result in prove(protocol) if result.letter == "b" for line in in_words(protocol, result)]

    assert lines[1] == "Wave height made worse makes the decision less cautious."
    assert [cell.strip() for cell in lines[2].split("|")] == ["Wave height", "3 ft", "4 ft"]
    assert [cell.strip() for cell in lines[3].split("|")] == ["Decision", "hold", "divers with controls"]
    assert lines[-1] == "in the document: rules/severe_unless_too_rough, rules/too_rough_to_launch"
    assert lines[-2].startswith("both: Entanglement: severe; Somebody to save: rescue")


@pytest.mark.parametrize(
    ("file", "fired", "differing"),
    [
        ("stop_inside_a_stop", {"untended", "current_untended_again"}, ()),
        ("second_limit_hidden_by_the_first", {"current_tended"}, ("readings.current",)),
    ],
)
def test_what_decides_nothing_is_shown_where_it_would_be_expected_to(file, fired, differing):
    """Of an idle rule, a situation in which it fires, with what fires beside it; of an idle limit, both of its sides."""
    protocol = read_protocol(text(next(entry for entry in ENTRIES if entry["file"] == file)))

    failure = next(result for result in prove(protocol) if result.letter == "i").failures[0]

    assert fired <= set(failure.first.fired)
    assert failure.differing == differing
    assert failure.second is None or failure.second.decision == failure.first.decision
