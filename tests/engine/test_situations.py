"""The situations that a safety officer can read, each decided as its file says and for the reason it gives."""

import json

import pytest

from opsrisk.assessment.assess import assess
from opsrisk.assessment.situation import read_situation
from opsrisk.protocols.shipped import baseline
from tests.situations import FOLDER, cases, document, situation

CASES = cases()
KNOWN = {
    "name", "file", "base", "vehicle", "decision", "why", "source", "given",
    "rule", "score", "because", "flags", "controls", "settled", "settle_by",
}  # fmt: skip


def decided(case):
    return assess(situation(case["base"], case.get("vehicle", "none in the kit"), **case.get("given", {})), baseline())


def differences(case, decision):
    """What the answer says otherwise than the case: lists named in the case must be part of the answer's."""
    said = {"decision": decision["decision"], "rule": decision["rule"]["id"], "score": decision["score"]}
    said |= {"because": decision["rule"]["because"], "settled": decision["settled"]}
    said |= {"settle_by": decision["settle_by"]}
    different = {name: said[name] for name in said if name in case and case[name] != said[name]}
    raised = {"flags": set(decision["flags"]), "controls": {each["id"] for each in decision["controls"]}}
    missing = {name: set(case.get(name, ())) - found for name, found in raised.items()}
    return different | {name: f"without {left}" for name, left in missing.items() if left}


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_situation_is_decided_as_its_file_says(case):
    """The baseline decides each readable situation as written down, by the rule and for the reasons written down."""
    assert not differences(case, decided(case))


def test_there_are_enough_situations_and_each_says_why():
    """At least forty, each with a name of its own, a reason and where the reason comes from."""
    assert len(CASES) >= 40
    assert len({case["name"] for case in CASES}) == len(CASES)
    assert all(case["why"] and case["source"] and case["name"].count(" ") >= 3 for case in CASES)


def test_the_example_document_is_one_of_them():
    """The document that README.md names is the rescue at the top of rescue.toml, as JSON."""
    example = json.loads((FOLDER / "example.json").read_text())

    assert example == document("drowning", "working")
    assert assess(read_situation(json.dumps(example)), baseline())["decision"] == "divers_with_controls"


def test_a_misspelt_expectation_is_noticed():
    """No word in a situation's file goes unread."""
    assert not {word for case in CASES for word in case} - KNOWN


def test_every_decision_and_every_rule_is_shown():
    """The situations show each of the five decisions and each rule of the order."""
    answers = [decided(case) for case in CASES]
    assert {answer["decision"] for answer in answers} == {
        "divers", "divers_with_controls", "vehicle_first", "vehicle_only", "hold",
    }  # fmt: skip
    assert len({answer["rule"]["id"] for answer in answers}) == 8
