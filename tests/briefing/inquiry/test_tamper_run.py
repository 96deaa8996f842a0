"""Alterations by the hundred: nothing is missed, and a verifier that looks away is found out."""

import io
import os
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from opsrisk.briefing.verifier import verify_operation as verifier
from tests.briefing.inquiry.past import another_operation, elsewhere


@pytest.fixture
def two(before, cast):
    another_operation(cast)
    elsewhere(2)
    return before


# docs/measurements/tamper.md: TAMPER_COUNT=10000 TAMPER_SEED=1 TAMPER_REPORT=docs/measurements/tamper.md
COUNT, SEED = (int(os.environ.get(name, usual)) for name, usual in (("TAMPER_COUNT", "300"), ("TAMPER_SEED", "7")))


def test_some_hundred_alterations_are_all_told(two, tmp_path):
    """Bytes, grafts and replays from one seed: none missed, and the report says so."""
    out, path = io.StringIO(), Path(os.environ.get("TAMPER_REPORT", tmp_path / "tamper.md"))
    call_command("tamper_run", count=COUNT, seed=SEED, report=path, stdout=out)
    assert f"| **all** | {COUNT} | " in path.read_text()
    assert "| **0** |" in path.read_text()
    assert path.read_text() in out.getvalue()


@pytest.mark.parametrize("name", ["check_signature", "check_seal", "check_manifest"])
def test_a_verifier_that_looks_away_is_found_out(two, monkeypatch, name):
    """The run can fail: with one check taken out, alterations are missed and the command says which."""
    monkeypatch.setattr(verifier, name, lambda *_, **__: None)
    with pytest.raises(CommandError, match="missed: draw"):
        call_command("tamper_run", count=300, seed=7, stdout=io.StringIO())


def test_without_operations_it_says_what_it_needs(db):
    """Nothing is made up."""
    with pytest.raises(CommandError, match="operations: given none that fits"):
        call_command("tamper_run", stdout=io.StringIO())
