"""The proof itself: what it says of the baseline, how fast, and what it says when it is not sure."""

import json
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from opsrisk.engine.algebra import NUMBERS
from opsrisk.engine.decide import decide
from opsrisk.engine.findings import FAULT, UNFINISHED, in_words
from opsrisk.engine.looks import Look
from opsrisk.engine.proof import PATIENCE, Prover, prove
from opsrisk.engine.properties import PROPERTIES
from opsrisk.engine.protocol import read_protocol
from opsrisk.protocols.edits import edited
from opsrisk.protocols.shipped import BASELINE, baseline
from tests.engine.mutations import mutated

FULL_SECONDS, RECHECK_SECONDS = 30.0, 2.0


def with_edits(*edits):
    return read_protocol(json.dumps(edited(json.loads(BASELINE.read_text()), list(edits))))


def waves_over(feet):
    limit = {"input": "readings.wave_height", "worse_than": feet, "unit": "ft"}
    return with_edits({"in": "rules", "id": "too_rough_to_launch", "set": {"when": limit}})


def failing(results):
    return {result.letter: [failure.subject for failure in result.failures] for result in results if not result.proven}


@pytest.fixture(scope="module")
def proof_of_the_baseline():
    return prove(baseline())


def test_the_shipped_baseline_is_proven():
    """All nine properties hold of the protocol that we ship, in far less than half a minute of one processor."""
    started = time.process_time()
    results = prove(baseline())

    assert time.process_time() - started < FULL_SECONDS
    assert [result.letter for result in results] == list(PROPERTIES)
    assert failing(results) == {}
    assert all(result.checked for result in results)


def test_what_a_proof_rests_on_is_named(proof_of_the_baseline):
    """A waiver that the proof took into account stands in its words."""
    unknown = next(result for result in proof_of_the_baseline if result.letter == "f")

    assert unknown.waived == (("readings.ice_thickness", "ice_not_yet_measured"),)
    assert "waived for ice thickness: ice_not_yet_measured" in next(in_words(baseline(), unknown))


def test_without_the_waiver_the_baseline_is_refused():
    """Ice that nobody has measured, taken for ice that carries, is better than thin ice: only the waiver excuses it."""
    rule = replace(baseline().inputs["readings.ice_thickness"], waiver=None)
    bare = replace(baseline(), inputs={**baseline().inputs, "readings.ice_thickness": rule})

    found = {result.letter: result for result in prove(bare) if not result.proven}

    assert set(found) == {"f"}
    shown = found["f"].failures[0]
    assert (shown.subject, shown.unknown) == ("readings.ice_thickness", "readings.ice_thickness")
    assert shown.second.facts["readings.ice_thickness"] == baseline().inputs["readings.ice_thickness"].assumed
    assert shown.second.decision < shown.first.decision


def test_an_edit_of_one_number_is_rechecked_at_once():
    """What an edit cannot touch is not proven again; the rest takes less than two seconds of one processor."""
    edit = waves_over("4")
    started = time.process_time()
    results = prove(edit, like=baseline())

    assert time.process_time() - started < RECHECK_SECONDS
    assert failing(results) == {}


def test_a_recheck_finds_what_a_full_proof_finds():
    """Sparing what is shared with a proven protocol loses no failure."""
    edits = [
        waves_over("200"),
        with_edits({"at": ["lines", "rescue", "value"], "to": "100"}),
        with_edits({"in": "factors", "id": "waves", "set": {"points": [["1", "8"], ["2", "4"], ["4", "0"]]}}),
    ]
    for edit in edits:
        found = failing(prove(edit))
        assert found
        assert failing(prove(edit, like=baseline())) == found


@pytest.mark.parametrize("seed", [2, 5, 7])
def test_a_recheck_of_any_change_never_says_proven_where_the_full_proof_does_not(seed):
    """Of an entry changed at random; `docs/measurements/proof_times.py` does many."""
    edit, words, _ = mutated(seed)
    assert failing(prove(edit, like=baseline())) == failing(prove(edit)), words


def test_an_edit_of_words_needs_no_proof():
    """A source, a text, a re-check time decide nothing: every claim is shared, and the solver is not even asked."""
    edit = with_edits(
        {"in": "rules", "id": "deep", "set": {"text": "Deep"}},
        {"at": ["recheck", "value"], "to": "45"},
    )

    assert failing(prove(edit, like=baseline(), patience=0)) == {}
    assert set(failing(prove(edit, patience=0))) == set(PROPERTIES)


def test_a_proof_that_is_not_finished_is_not_proven():
    """When the solver's steps run out, what is left says so and counts against the protocol."""
    results = prove(baseline(), patience=PATIENCE // 10_000)

    unfinished = [result for result in results if result.verdict == UNFINISHED]
    assert unfinished
    assert not any(result.proven for result in unfinished)
    assert all("did not finish" in failure.words for result in unfinished for failure in result.failures)


def test_a_proof_with_little_patience_never_says_something_else():
    """Less patience leaves more unfinished; it never turns an answer round."""
    for steps in (0, 1_000_000, 3_000_000):
        verdicts = {result.verdict for result in prove(baseline(), patience=steps)}
        assert verdicts <= {"proven", UNFINISHED}


def wrong_on_floats(protocol, facts, ops):
    """A decision function that decides otherwise on floats than for the solver."""
    given = decide(protocol, facts, ops)
    return given if ops is NUMBERS else replace(given, decision=ops.where(facts["vehicle.owned"] == 1, 0, 4))


def test_a_situation_that_floats_do_not_confirm_is_a_fault_of_the_prover():
    """It is not shown as a counterexample, it does not count as proven, and it says whose fault it is."""
    results = {result.letter: result for result in prove(baseline(), decided_by=wrong_on_floats)}

    assert results["c"].verdict == FAULT
    assert not results["c"].proven
    assert "fault of the prover" in results["c"].failures[0].words
    assert results["c"].failures[0].first is None


def test_every_situation_that_must_exist_exists_on_floats():
    """The solver's witness for each rule that can fire and each limit that matters is one on floats too."""
    prover = Prover(baseline())
    wanted = [claim for claim in prover.claims if not claim.never]

    assert len(wanted) > 250
    for claim in wanted:
        case = prover.witness(claim)
        assert claim.claim(Look(baseline(), NUMBERS, case.first, case.second, score=case.score)), claim.failed


def test_proofs_in_threads_do_not_disturb_each_other():
    """Several drafts may be proven at once in one server process."""
    with ThreadPoolExecutor(2) as pool:
        found = [failing(results) for results in pool.map(prove, [baseline(), waves_over("200")])]

    assert found[0] == {}
    assert set(found[1]) == {"d", "i"}


@pytest.mark.parametrize("letter", PROPERTIES)
def test_each_property_says_how_it_stands_in_one_line(proof_of_the_baseline, letter):
    """The line names the letter, the verdict, the statement and how many claims it took."""
    result = next(result for result in proof_of_the_baseline if result.letter == letter)

    lines = list(in_words(baseline(), result))

    assert len(lines) == 1
    assert lines[0].startswith(f"({letter}) proven: {PROPERTIES[letter]} ({result.checked} claims")
