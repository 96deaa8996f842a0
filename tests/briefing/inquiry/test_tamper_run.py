"""Alterations by the hundred: nothing is missed, and a verifier that looks away is found out."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from opsrisk.briefing.verifier import verify_operation as verifier
from tests.briefing.inquiry import campaign, tamper_run
from tests.briefing.inquiry.past import another_operation, elsewhere

ROOT = Path(__file__).parents[3]
COUNT = 300


@pytest.fixture
def exhibits(before, cast):
    other = another_operation(cast)
    elsewhere(2)
    return tamper_run.exhibits(before.operation, other)


def test_some_hundred_alterations_are_all_told(exhibits):
    """Bytes, grafts and replays from one seed: none missed, and the report says so."""
    found = campaign.campaign(exhibits, COUNT, seed=7)
    assert tamper_run.missed(found) == []
    text = tamper_run.report(found, ["by a test"], {})
    assert f"| **all** | {COUNT} | " in text
    assert "| **0** |" in text


@pytest.mark.parametrize("name", ["check_signature", "check_seal", "check_manifest"])
def test_a_verifier_that_looks_away_is_found_out(exhibits, monkeypatch, name):
    """The run can fail: with one check taken out, alterations are missed and named."""
    monkeypatch.setattr(verifier, name, lambda *_, **__: None)
    found = campaign.campaign(exhibits, COUNT, seed=7)
    missed = tamper_run.missed(found)
    assert missed
    assert all(one.startswith("draw ") for one in missed)
    assert f"| **{len(missed)}** |" in tamper_run.report(found, [], {})


def test_the_reports_command_runs_anywhere_and_leaves_an_installation_alone(tmp_path):
    """With operations and keys of its own: nothing of the data folder that is named is read or written."""
    named = tmp_path / "data"
    named.mkdir()
    (named / "keys").write_text("not a folder: who looks here falls over it")
    environment = os.environ | {"OPSRISK_DATA": str(named)}
    asked = [sys.executable, ROOT / "docs/measurements/tamper.py"]
    done = subprocess.run(
        [*asked, "100", "3"], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    assert "| **all** | 100 | " in done.stdout
    assert [path.name for path in named.iterdir()] == ["keys"]
    done = subprocess.run([*asked, "0"], env=environment, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (2, "count: given 0, accepted at least 1\n")


def test_no_way_of_forging_is_in_the_served_program():
    """What signs forgeries with a server's key is an instrument of the tests."""
    served = [path.read_text() for path in (ROOT / "opsrisk").rglob("*.py")]
    assert len(served) > 100
    assert not [text for text in served if "by_the_insider" in text]
