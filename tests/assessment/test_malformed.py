"""A malformed situation is refused with a reason for each fault: never a decision, never a traceback, never a repair."""

import json
import subprocess
import sys
from datetime import UTC, datetime

import pytest
from django.core.management import call_command
from hypothesis import given
from hypothesis import strategies as st

from opsrisk.assessment.situation import SituationRefused, read_situation
from tests.assessment.malformed import BASE, corpus, put
from tests.house.reading import ROOT

CORPUS = corpus()
NOW = datetime(2026, 6, 12, 10, 0, tzinfo=UTC)


def faults(data):
    with pytest.raises(SituationRefused) as refused:
        read_situation(data, now=NOW)
    return refused.value.errors


def run(*arguments, data=b""):
    command = [sys.executable, "manage.py", "assess", *arguments]
    return subprocess.run(command, cwd=ROOT, input=data, capture_output=True, check=False)


def test_the_corpus_is_large_and_made_from_a_good_document():
    """At least two hundred documents, each one fault away from one that is accepted."""
    assert len(CORPUS) >= 200
    assert len(set(CORPUS.values())) == len(CORPUS)
    assert read_situation(json.dumps(BASE), now=NOW).document == BASE


@pytest.mark.parametrize("name", CORPUS)
def test_malformed_document_is_refused_with_reasons(name):
    """At least one (field, given, accepted), each on one line of plain letters, none endless."""
    errors = faults(CORPUS[name])

    assert errors
    for field, shown, accepted in errors:
        assert field and shown and accepted
        line = f"{field}: given {shown}; accepted: {accepted}"
        assert line.isascii() and line.isprintable() and len(line) < 1000


@pytest.mark.parametrize("name", CORPUS)
def test_command_refuses_malformed_document(name, tmp_path, capsys):
    """Exit 2, one reason a line on standard error, nothing on standard output."""
    path = tmp_path / "situation.json"
    path.write_bytes(CORPUS[name])

    with pytest.raises(SystemExit) as left:
        call_command("assess", str(path))

    out, err = capsys.readouterr()
    assert (left.value.code, out) == (2, "")
    assert len(err.splitlines()) == len(faults(CORPUS[name]))
    assert all(": given " in line and "; accepted: " in line for line in err.splitlines())


@pytest.mark.parametrize("name", ["nothing", "negative depth", "a lone surrogate as a name", "zero bytes"])
def test_command_refuses_in_a_process_of_its_own(name):
    """The same from a shell, through standard input: no traceback on any stream."""
    done = run("-", data=CORPUS[name])

    assert (done.returncode, done.stdout) == (2, b"")
    assert b"Traceback" not in done.stderr
    assert done.stderr.count(b"\n") == len(faults(CORPUS[name]))


def test_lines_keep_one_answer_a_line():
    """Good and bad documents mixed: one line of JSON for each, in their order, and the worst exit code."""
    bad = [data for data in CORPUS.values() if b"\n" not in data and b"\r" not in data and data.strip()][::9]
    good = json.dumps(BASE).encode()
    lines = [line for data in bad for line in (good, data)]

    done = run("--lines", "-", data=b"\n".join(lines))

    answers = [json.loads(line) for line in done.stdout.splitlines()]
    assert done.returncode == 2
    assert len(answers) == len(lines)
    assert all(answer["format"] == "opsrisk.decision/1" for answer in answers[::2])
    assert all(answer["format"] == "opsrisk.refusal/1" and answer["errors"] for answer in answers[1::2])
    assert not any("decision" in answer for answer in answers[1::2])
    assert all(line.startswith(b"line ") for line in done.stderr.splitlines())


def test_every_fault_is_named_at_once():
    """Three wrong answers give three reasons, not the first."""
    made = put("readings.depth", {"value": "-1", "unit": "ft"})
    made["hazards"]["lightning"] = "maybe"
    made["dive"]["line"] = True

    fields = [field for field, _, _ in faults(json.dumps(made))]

    assert sorted(fields) == ["dive.line", "hazards.lightning", "readings.depth.value"]


def test_a_reason_says_what_was_given_and_what_is_accepted():
    """In the unit that was used, with the words that are known."""
    assert faults(json.dumps(put("readings.water_temperature", {"value": "140", "unit": "F"}))) == [
        ("readings.water_temperature.value", '"140 F"', "27.5 to 113.0 F")
    ]
    assert faults(json.dumps(put("hazards.lightning", "maybe"))) == [
        ("hazards.lightning", '"maybe"', "no yes unknown")
    ]  # fmt: skip


@pytest.mark.parametrize("days", [2, 400])
def test_an_assessment_from_the_future_is_refused(days):
    """A clock that is days ahead would make every reading look fresh."""
    made = put("assessed_at", f"20{26 + days // 365}-06-{12 + days % 365 % 15}T10:00:00+00:00")

    assert [field for field, _, _ in faults(json.dumps(made))] == ["assessed_at"]


def test_an_assessment_from_long_ago_is_read():
    """A record arrives when it arrives."""
    old = {"format": "opsrisk.situation/1", "assessed_at": "2019-06-12T10:00:00+00:00"}

    assert read_situation(json.dumps(old), now=NOW).document == old


def nested(leaves):
    return st.lists(leaves, max_size=3) | st.dictionaries(st.text(max_size=8), leaves, max_size=3)


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12), nested, max_leaves=12
)
PATHS = ["assessed_at", "task", "readings.current", "readings.depth.value", "hazards.ice_cover", "people", "vehicle"]


@given(st.sampled_from(PATHS), ANYTHING)
def test_anything_in_place_of_an_answer_is_read_or_refused(path, value):
    """Whatever JSON stands where an answer should be: a situation or reasons, no other ending."""
    try:
        read = read_situation(json.dumps(put(path, value)), now=NOW)
    except SituationRefused as refused:
        assert refused.errors
    else:
        assert read.document["format"] == "opsrisk.situation/1"


@given(st.binary(max_size=200) | st.text(max_size=200))
def test_any_bytes_are_refused(data):
    """Noise is no situation."""
    assert faults(data)
