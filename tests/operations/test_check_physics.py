"""manage.py check_physics prints one table and fails when a bound is broken."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from opsrisk.assessment.computations.registry import COMPUTATIONS
from opsrisk.operations.physics_checks import RECOMPUTE, compare, read_oracles

AIR = {
    "computation": "atmosphere",
    "oracle": "a barometer",
    "version": "1",
    "bounds": {"pressure_pa": {"within": 1.0, "kind": "absolute", "unit": "Pa"}},
    "cases": [{"inputs": {"altitude_m": 0}, "expected": {"pressure_pa": 101325.5}}],
}


def write(folder, document):
    (folder / "air.json").write_text(json.dumps(document))
    return folder


def test_every_row_names_computation_oracle_cases_errors_and_bound(tmp_path):
    """One oracle file with one quantity makes a heading and one row."""
    out = StringIO()
    call_command("check_physics", oracles=write(tmp_path, AIR), stdout=out)
    heading, row = out.getvalue().splitlines()
    assert heading.split("  ")[0] == "computation"
    assert row.split() == ["atmosphere", "pressure_pa", "a", "barometer", "1", "1", "0.5", "Pa", "0.5", "Pa", "1", "Pa"]


def test_a_broken_bound_fails_and_is_marked(tmp_path):
    """An oracle that says 2 Pa more than the bound allows ends in an error, after the table is printed."""
    off = AIR | {"cases": [{"inputs": {"altitude_m": 0}, "expected": {"pressure_pa": 101328.0}}]}
    out = StringIO()
    with pytest.raises(CommandError, match="1 of 1 bounds are broken"):
        call_command("check_physics", oracles=write(tmp_path, off), stdout=out)
    assert "BROKEN" in out.getvalue()


def test_nothing_to_compare_with_is_an_error(tmp_path):
    """An empty folder must not look like success."""
    with pytest.raises(CommandError, match="nothing to compare"):
        call_command("check_physics", oracles=tmp_path)


def test_a_computation_nobody_registered_is_an_error(tmp_path):
    """An oracle file for an unknown computation is not passed over."""
    with pytest.raises(KeyError):
        compare(AIR | {"computation": "weather"})


def test_a_missing_answer_and_a_wrong_word_are_infinite_errors(tmp_path, monkeypatch):
    """Where ours has no answer or says another word, the error is not zero; where the oracle has none, no case counts."""
    monkeypatch.setitem(RECOMPUTE, "atmosphere", lambda case: {"pressure_pa": None, "word": "high", "spare": 1.0})
    bound = {"within": 1.0, "kind": "absolute"}
    document = AIR | {"bounds": {"pressure_pa": bound, "word": bound, "spare": bound}}
    document["cases"] = [{"inputs": {}, "expected": {"pressure_pa": 1.0, "word": "low", "spare": None}}]
    pressure, word, spare = compare(document)
    assert not pressure.kept
    assert not word.kept
    assert spare.cases == 0
    assert not spare.kept


def test_other_files_in_the_folder_are_left_alone(tmp_path):
    """A frozen document in another form belongs to another test."""
    (tmp_path / "other.json").write_text('{"stations": []}')
    assert read_oracles(tmp_path) == []


def test_time_is_said_for_every_computation():
    """First call and median of each computation by name, of the plan and of its pictures, beside what was asked for."""
    out = StringIO()
    call_command("check_physics", time=True, stdout=out)
    heading, *rows = out.getvalue().splitlines()
    assert heading.split()[0] == "computation"
    assert [row.split()[0] for row in rows] == [*COMPUTATIONS, "plan", "pictures"]
    assert all(float(cell) >= 0 for row in rows for cell in row.split()[1:3])
